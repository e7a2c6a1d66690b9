import type { TopoDS_Shape } from 'replicad-opencascadejs';
import { beforeAll, describe, expect, test } from 'vitest';
import { along, type Mm, unit, type Vec3 } from '../../src/geometry/vector.ts';
import type { JointSpec } from '../../src/job/job.ts';
import type { CutEnd, Surface } from '../../src/solve/solution.ts';
import {
  bend,
  cope,
  cutOf,
  ellipse,
  jobOf,
  merge,
  miter,
  oval,
  rectangle,
  round,
  runTube,
  sAt,
  solved,
  straight,
  type Tube,
} from '../support/jobs.ts';
import { worst } from '../support/measure.ts';
import { type Plan, type SecondKernel, secondKernel } from './second-kernel-model.ts';

/** mm. What the two kernels may differ by. */
const AGREE: Mm = 0.001;

let kernel: SecondKernel;
beforeAll(async () => {
  kernel = await secondKernel();
});

const tubeOf = (name: string, plan: Plan): Tube =>
  runTube(name, plan.section, {
    at: plan.at,
    heading: plan.heading,
    up: plan.up,
    run: plan.steps.map((step) =>
      'straight' in step ? straight(step.straight) : bend(step.clr, step.deg, step.toward),
    ),
  });

const solvedEnd = (plans: Readonly<Record<string, Plan>>, joints: readonly JointSpec[], id: string): CutEnd =>
  cutOf(
    solved(
      jobOf(
        Object.entries(plans).map(([name, plan]) => tubeOf(name, plan)),
        joints,
      ),
    ),
    id,
  );

interface Comparison {
  readonly name: string;
  readonly end: CutEnd;
  readonly branch: Plan;
  readonly solids: readonly TopoDS_Shape[];
  readonly generators: number;
  readonly surface?: Exclude<Surface, 'square'>;
}

/** Largest difference between our s(u) and the kernel's, over generators spread unevenly round the tube. */
function difference({ name, end, branch, solids, generators, surface = 'outer' }: Comparison): Mm {
  const tube = kernel.tube(branch);
  const depth = surface === 'inner' ? branch.section.wall : 0;
  const from = end.end === 'end' ? 'start' : 'end';
  const pairs = Array.from({ length: generators }, (_, i): [number, number] => {
    const u = (i + 0.37) / generators;
    return [sAt(end, u, surface), kernel.firstCut(tube, solids, { u, depth, from })];
  });
  return worst(`${name}, ${surface}`, pairs);
}

/** A branch that ends at `to`, coming from the side, with its last step drawn a little past its end for the kernel. */
const bar = (section: Plan['section'], to: Vec3, heading: Vec3, up: Vec3): Plan => {
  const h = unit(heading);
  return { section, at: along(to, h, -220), heading: h, up: unit(up), steps: [{ straight: 220 }] };
};

/** The kernel needs the generator where we follow it past the drawn end. */
const prolonged = (plan: Plan): Plan => ({
  ...plan,
  steps: plan.steps.map((step, i) =>
    'straight' in step && i === plan.steps.length - 1 ? { straight: step.straight + 150 } : step,
  ),
});

const alongX = (section: Plan['section']): Plan => ({
  section,
  at: [-300, 0, 0],
  heading: [1, 0, 0],
  up: [0, 0, 1],
  steps: [{ straight: 600 }],
});

const bent = (section: Plan['section']): Plan => ({
  section,
  at: [-200, 0, -100],
  heading: [1, 0, 0],
  up: [0, 0, 1],
  steps: [{ straight: 100 }, { clr: 100, deg: 90, toward: 20 }, { straight: 120 }],
});

const slanted: Vec3 = [0.5, 0, -1];

interface Case {
  readonly name: string;
  readonly branch: Plan;
  readonly run: Plan;
  readonly surfaces?: readonly Exclude<Surface, 'square'>[];
  readonly generators?: number;
  readonly end?: 'start';
}

const CASES: readonly Case[] = [
  {
    name: 'round on round, 60 deg, offset 5',
    branch: bar(round(38.1), [0, 5, 0], [0.5, 0, -Math.sqrt(3) / 2], [1, 0, 0]),
    run: alongX(round(50.8)),
    surfaces: ['outer', 'inner'],
  },
  {
    name: 'round on round, 40 deg, offset 9',
    branch: bar(round(30, 2), [0, -9, 0], [-Math.cos(0.7), 0, -Math.sin(0.7)], [0, 1, 1]),
    run: alongX(round(60)),
    surfaces: ['outer', 'inner'],
  },
  {
    name: 'flat oval on round',
    branch: bar(oval(60, 30), [0, 3, 0], slanted, [0.3, 1, 0]),
    run: alongX(round(90)),
    surfaces: ['outer', 'inner'],
  },
  {
    name: 'round on flat oval',
    branch: bar(round(34), [0, 12, 0], slanted, [1, 0.2, 0]),
    run: alongX(oval(80, 44)),
    surfaces: ['outer', 'inner'],
  },
  {
    name: 'rectangle on round',
    branch: bar(rectangle(40, 25, 4), [0, -4, 0], [0.3, 0.1, -1], [1, 0.4, 0]),
    run: alongX(round(70)),
    surfaces: ['outer', 'inner'],
  },
  {
    name: 'sharp rectangle on round',
    branch: bar(rectangle(40, 25, 0), [0, -4, 0], [0.3, 0.1, -1], [1, 0.4, 0]),
    run: alongX(round(70)),
  },
  {
    name: 'round on rounded rectangle',
    branch: bar(round(32), [0, 10, 0], [0.4, 0.2, -1], [1, 0.4, 0]),
    run: alongX(rectangle(70, 40, 8)),
  },
  { name: 'ellipse on round', branch: bar(ellipse(50, 26), [0, 4, 0], slanted, [0.2, 1, 0]), run: alongX(round(80)) },
  {
    name: 'round on ellipse',
    branch: bar(round(30), [0, 9, 0], slanted, [0, 1, 0]),
    run: alongX(ellipse(80, 46)),
    surfaces: ['outer', 'inner'],
  },
  {
    name: 'ellipse on ellipse',
    branch: bar(ellipse(24, 44), [0, 2, 0], slanted, [0, 1, 0]),
    run: alongX(ellipse(80, 46)),
  },
  {
    name: 'round onto the outside of a bend',
    branch: bar(round(38), [-28, -6, -72], [-0.7, -0.1, 0.75], [1, 0, 0]),
    run: bent(round(60)),
    surfaces: ['outer', 'inner'],
  },
  {
    name: 'round onto a bend and its straight',
    branch: bar(round(44), [-100, 2, -96], [0.25, 0.2, 1], [1, 0, 0]),
    run: bent(round(60)),
  },
  {
    name: 'flat oval onto a bend',
    branch: bar(oval(50, 30), [-35, 5, -62], [-0.6, 0.2, 0.9], [1, 1, 0]),
    run: bent(round(70)),
  },
  {
    name: 'round onto a bent flat oval',
    branch: bar(round(30), [-35, 5, -65], [-0.6, 0.1, 0.9], [1, 1, 0]),
    run: bent(oval(80, 50)),
    surfaces: ['outer', 'inner'],
  },
  {
    name: 'rectangle onto a bent rectangle',
    branch: bar(rectangle(30, 20, 3), [-35, 5, -65], [-0.6, 0.1, 0.9], [1, 1, 0]),
    run: bent(rectangle(60, 50, 6)),
  },
  {
    name: 'round from a bend',
    branch: {
      section: round(38.1),
      at: [-190, 4, 150],
      heading: [0.1, 0, -1],
      up: [1, 0, 0],
      steps: [{ straight: 40 }, { clr: 180, deg: 75, toward: 5 }],
    },
    run: alongX(round(60)),
    surfaces: ['outer', 'inner'],
  },
  {
    name: 'flat oval from a bend, ended on the bend and the straight before it',
    branch: {
      section: oval(46, 28),
      at: [-20, 2, 140],
      heading: [0.1, 0, -1],
      up: [0, 1, 0],
      steps: [{ straight: 94 }, { clr: 120, deg: 60, toward: 90 }],
    },
    run: alongX(round(60)),
  },
  {
    name: 'bend on bend, the branch starting in the run',
    branch: {
      section: round(40),
      at: [-27, -8, -72],
      heading: [0.7, 0.3, -0.6],
      up: [1, 0.3, 0],
      steps: [{ clr: 150, deg: 80, toward: 170 }, { straight: 60 }],
    },
    run: bent(round(60)),
    end: 'start',
    surfaces: ['outer', 'inner'],
  },
];

describe('copes agree with OpenCascade', () => {
  test.each(CASES)('$name', (of) => {
    const branch = { ...of.branch, heading: unit(of.branch.heading), up: squared(of.branch.up, of.branch.heading) };
    const id = `branch.${of.end ?? 'end'}`;
    const end = solvedEnd({ branch, run: of.run }, [cope(id, ['run'])], id);
    const solids = kernel.solidsOf(kernel.tube(of.run));
    for (const surface of of.surfaces ?? ['outer' as const]) {
      expect(
        difference({ name: of.name, end, branch: prolonged(branch), solids, generators: of.generators ?? 48, surface }),
      ).toBeLessThan(AGREE);
    }
    const outline = Array.from({ length: 16 }, (_, i): [number, number] => [
      0,
      kernel.outlineMiss(kernel.tube(branch), (i + 0.37) / 16),
    ]);
    expect(worst(`${of.name}, outline`, outline)).toBeLessThan(1e-6);
    // A run 0.01 mm nearer must be seen.
    const moved = kernel.solidsOf(kernel.tube({ ...of.run, at: along(of.run.at, branch.heading, -0.01) }));
    expect(
      difference({ name: `${of.name}, shifted`, end, branch: prolonged(branch), solids: moved, generators: 6 }),
    ).toBeGreaterThan(0.003);
  });
});

/** The wish for up made square to the heading, as both kernels take it. */
function squared(up: Vec3, heading: Vec3): Vec3 {
  const h = unit(heading);
  return unit(along(up, h, -(up[0] * h[0] + up[1] * h[1] + up[2] * h[2])));
}

test('a weld gap on a round run is a run larger by the gap', () => {
  const branch = bar(round(38.1), [0, 5, 0], [0.5, 0, -1], [1, 0, 0.5]);
  const end = solvedEnd({ branch, run: alongX(round(50.8)) }, [cope('branch.end', ['run'], 1.5)], 'branch.end');
  const solids = kernel.solidsOf(kernel.tube(alongX(round(53.8))));
  expect(difference({ name: 'gap 1.5', end, branch: prolonged(branch), solids, generators: 24 })).toBeLessThan(AGREE);
});

test('a branch into the corner of two runs stops at whichever comes first', () => {
  const first = alongX(round(50));
  const second: Plan = {
    section: round(40),
    at: [0, -200, 6],
    heading: [0, 1, 0],
    up: [0, 0, 1],
    steps: [{ straight: 400 }],
  };
  const branch = bar(round(46), [4, 3, 0], [-0.3, -0.2, -1], [1, 0, -0.3]);
  const end = solvedEnd({ branch, first, second }, [cope('branch.end', ['first', 'second'])], 'branch.end');
  const solids = [first, second].flatMap((plan) => kernel.solidsOf(kernel.tube(plan)));
  expect(new Set(end.curves.outer.samples.map((sample) => sample.stop)).size).toBe(2);
  expect(
    difference({ name: 'corner of two runs', end, branch: prolonged(branch), solids, generators: 48 }),
  ).toBeLessThan(AGREE);
});

test('both sides of a miter lie on the bisecting plane', () => {
  const first: Plan = {
    section: oval(50, 30),
    at: [-200, 0, 0],
    heading: [1, 0, 0],
    up: [0, 0, 1],
    steps: [{ straight: 200 }],
  };
  const out = unit([0.4, 0.5, 0.77]);
  const second: Plan = {
    section: oval(50, 30),
    at: [0, 0, 0],
    heading: out,
    up: squared([0, 0, 1], out),
    steps: [{ straight: 200 }],
  };
  const plans = { first, second };
  const plane = kernel.planeFace([0, 0, 0], unit([1 + out[0], out[1], out[2]]), 300);
  for (const [id, plan] of [
    ['first.end', prolonged(first)],
    ['second.start', { ...second, at: along([0, 0, 0], out, -150), steps: [{ straight: 350 }] }],
  ] as const) {
    const end = solvedEnd(plans, [miter('first.end', 'second.start')], id);
    const shift = id === 'first.end' ? 0 : 150;
    const tube = kernel.tube(plan);
    const pairs = Array.from({ length: 48 }, (_, i): [number, number] => {
      const u = (i + 0.37) / 48;
      return [sAt(end, u) + shift, kernel.firstCut(tube, [plane], { u, depth: 0, from: 'start' })];
    });
    expect(worst(`miter ${id}`, pairs)).toBeLessThan(AGREE);
  }
});

describe('three legs merged into a flat oval', () => {
  // Legs side by side, leaning together; the right one is bent on its way.
  const trunk: Plan = {
    section: oval(120, 52),
    at: [0, 0, 0],
    heading: [0, 0, 1],
    up: [0, 1, 0],
    steps: [{ straight: 260 }],
  };
  const leg = (x: number): Plan => ({
    section: round(50, 1.5),
    at: [x * 2.3, 0, -220],
    heading: unit([-x * 1.4, 0, 260]),
    up: [0, 1, 0],
    steps: [{ straight: 320 }],
  });
  const right: Plan = {
    ...leg(0),
    at: [75, 0, -240],
    steps: [{ straight: 80 }, { clr: 150, deg: 15, toward: 90 }, { straight: 230 }],
  };
  const legs = { left: leg(-40), middle: leg(0), right };
  const joint = merge(['left.end', 'middle.end', 'right.end'], 'trunk.start');
  const solution = solved(
    jobOf(
      Object.entries({ ...legs, trunk }).map(([name, plan]) => tubeOf(name, plan)),
      [joint],
    ),
  );

  test.each(['left', 'middle', 'right'] as const)('generators of leg %s', (name) => {
    const others = Object.entries({ ...legs, trunk }).filter(([other]) => other !== name);
    const solids = others.flatMap(([, plan]) => kernel.solidsOf(kernel.tube(plan)));
    const end = cutOf(solution, `${name}.end`);
    const branch = prolonged(legs[name]);
    expect(difference({ name: `merge leg ${name}`, end, branch, solids, generators: 48 })).toBeLessThan(AGREE);
    expect(
      difference({ name: `merge leg ${name}`, end, branch, solids, generators: 24, surface: 'inner' }),
    ).toBeLessThan(AGREE);
  });

  test('generators of the trunk', () => {
    const solids = [
      ...Object.values(legs).flatMap((plan) => kernel.solidsOf(kernel.tube(plan))),
      kernel.planeFace([0, 0, 0], [0, 0, -1], 300),
    ];
    const end = cutOf(solution, 'trunk.start');
    expect(difference({ name: 'merge trunk', end, branch: trunk, solids, generators: 96 })).toBeLessThan(AGREE);
  });

  test('seams of leg with leg and leg with trunk lie on the curves in which the kernel finds the surfaces to meet', () => {
    const plans: Readonly<Record<string, Plan>> = { ...legs, trunk };
    for (const [own, other] of [
      ['left', 'middle'],
      ['middle', 'left'],
      ['middle', 'right'],
      ['left', 'trunk'],
      ['middle', 'trunk'],
      ['right', 'trunk'],
      ['trunk', 'right'],
    ] as const) {
      const end = cutOf(solution, own === 'trunk' ? 'trunk.start' : `${own}.end`);
      const onOther = end.curves.outer.samples.filter((sample) => end.stops[sample.stop]?.id === other);
      expect(onOther.length, `${own} on ${other}`).toBeGreaterThan(4);
      const seam = kernel.seam(kernel.solidsOf(kernel.tube(plans[own]!)), kernel.solidsOf(kernel.tube(plans[other]!)));
      const picked = onOther.filter((_, i) => i % Math.ceil(onOther.length / 40) === 0);
      expect(
        worst(
          `seam ${own} on ${other}`,
          picked.map((sample) => [0, kernel.distanceTo(seam, sample.point)]),
        ),
      ).toBeLessThan(AGREE);
    }
  });
});
