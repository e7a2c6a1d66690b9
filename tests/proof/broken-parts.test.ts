import { beforeAll, describe, expect, test } from 'vitest';
import { frameAt } from '../../src/geometry/centerline.ts';
import { besideCenterline } from '../../src/geometry/distance.ts';
import { compose, inverse, type Placement } from '../../src/geometry/placement.ts';
import { sectionDistance } from '../../src/geometry/section.ts';
import { add, along, cross, dot, lerp, scale, sub, unit, type Vec3 } from '../../src/geometry/vector.ts';
import { type Kernel, openKernel } from '../../src/solid/kernel.ts';
import type { Mesh } from '../../src/solid/mesh.ts';
import type { Feature, HeldTube } from '../../src/tooling/tool.ts';
import {
  benchJob,
  broken,
  claimed,
  codesOf,
  firstPart,
  moved,
  movedInJob,
  type Proved,
  prove,
  toolsOf,
  tubeClaimed,
} from './support.ts';

let kernel: Kernel;
let tools: ReadonlyMap<string, Proved>;

beforeAll(async () => {
  kernel = await openKernel();
  tools = toolsOf(kernel, benchJob());
});

const collar = (): Proved => tools.get('branch-end-notch-collar')!;
const guide = (): Proved => tools.get('miter-end-saw-guide')!;
const codes = (proved: Proved): readonly string[] => codesOf(prove(kernel, proved));

function featureOf<K extends Feature['kind']>({ tool }: Proved, kind: K): Extract<Feature, { kind: K }> {
  const found = tool.parts[0]!.features.find(
    (feature): feature is Extract<Feature, { kind: K }> => feature.kind === kind,
  );
  if (!found) expect.fail(`no ${kind}`);
  return found;
}

/** Away from the tube's axis by `by` for vertices whose distance from the tube is in the range. */
function radially(proved: Proved, [low, high]: readonly [number, number], by: number): Proved {
  const { centerline, section } = proved.tool.end!.member;
  return movedInJob(proved, (p) => {
    const { s, a, b } = besideCenterline(centerline, section, p);
    const d = sectionDistance(section, a, b);
    if (d < low || d > high) return undefined;
    const { right, up } = frameAt(centerline, s);
    const out = Math.hypot(a, b);
    return add(p, add(scale(right, (by * a) / out), scale(up, (by * b) / out)));
  });
}

describe('mesh gates', () => {
  test('a flipped facet is not closed', () => {
    const flip = ({ positions, triangles }: Mesh): Mesh => {
      const turned = triangles.slice();
      [turned[301], turned[302]] = [triangles[302]!, triangles[301]!];
      return { positions, triangles: turned };
    };
    expect(codes(broken(collar(), flip))).toContain('proof/not-closed');
  });

  test('a dropped facet is not closed, and the part has no numbers', () => {
    const proof = prove(
      kernel,
      broken(collar(), ({ positions, triangles }) => ({ positions, triangles: triangles.slice(3) })),
    );
    expect(codesOf(proof)).toContain('proof/not-closed');
    expect(proof.parts).toEqual([]);
  });

  test('a facet without area is degenerate', () => {
    const flatten = (mesh: Mesh): Mesh => {
      const [a, b, c] = [0, 1, 2].map((k) => 3 * mesh.triangles[k]!);
      const positions = mesh.positions.slice();
      for (let k = 0; k < 3; k++) positions[c! + k] = (positions[a! + k]! + positions[b! + k]!) / 2;
      return { ...mesh, positions };
    };
    expect(codes(broken(collar(), flatten))).toContain('proof/degenerate');
  });

  test('a loose crumb is a second shell', () => {
    const crumb = ({ positions, triangles }: Mesh): Mesh => {
      const n = positions.length / 3;
      const corners = [200, 0, 0, 201, 0, 0, 200, 1, 0, 200, 0, 1];
      return {
        positions: Float64Array.from([...positions, ...corners]),
        triangles: Uint32Array.from([
          ...triangles,
          n,
          n + 2,
          n + 1,
          n,
          n + 1,
          n + 3,
          n + 1,
          n + 2,
          n + 3,
          n,
          n + 3,
          n + 2,
        ]),
      };
    };
    expect(codes(broken(collar(), crumb))).toContain('proof/shells');
  });

  test('a mesh inside out has no volume', () => {
    const turn = ({ positions, triangles }: Mesh): Mesh => ({ positions, triangles: triangles.slice().reverse() });
    expect(codes(broken(collar(), turn))).toContain('proof/volume');
  });

  test('files that differ from what was built by a hair are told by their volume', () => {
    const proved = collar();
    const [file] = proved.files;
    const built = moved(file!.built, (p) => scale(p, 1.0005));
    expect(codes({ ...proved, files: [{ ...file!, built }] })).toEqual(['proof/volume']);
  });

  test('an STL and a 3MF that differ by a hundredth in one corner are told', () => {
    const proved = collar();
    const [file] = proved.files;
    const [stl, threemf] = file!.meshes;
    const positions = threemf!.mesh.positions.slice();
    positions[0]! += 0.01;
    const other = { ...threemf!, mesh: { ...threemf!.mesh, positions } };
    const proof = prove(kernel, { ...proved, files: [{ ...file!, meshes: [stl!, other] }] });
    expect(codesOf(proof)).toEqual(['proof/volume']);
    expect(firstPart(proof).fileDifference).toBeCloseTo(0.01, 5);
  });
});

describe('on the bed', () => {
  test('a part that floats by a hundredth fails', () => {
    expect(codes(broken(collar(), (mesh) => moved(mesh, (p) => add(p, [0, 0, 0.01]))))).toContain('proof/bed');
  });

  test('a part tilted by a degree fails', () => {
    const sin = Math.sin(Math.PI / 180);
    const tilt = (p: Vec3): Vec3 => [
      p[0] * Math.sqrt(1 - sin * sin) - p[2] * sin,
      p[1],
      p[0] * sin + p[2] * Math.sqrt(1 - sin * sin),
    ];
    expect(codes(broken(collar(), (mesh) => moved(mesh, tilt)))).toContain('proof/bed');
  });

  test('a part whose weight lies outside its foot fails', () => {
    const lean = (p: Vec3): Vec3 => [p[0] + 3 * p[2], p[1], p[2]];
    const proof = prove(
      kernel,
      broken(collar(), (mesh) => moved(mesh, lean)),
    );
    expect(proof.problems.some(({ code, message }) => code === 'proof/bed' && message.includes('tips over'))).toBe(
      true,
    );
  });

  test('a part that fits the bed the other way round passes, one that is too tall does not', () => {
    const proved = guide();
    const { size } = firstPart(prove(kernel, proved));
    const onBed = (bed: readonly [number, number, number]): Proved => {
      const { job } = proved.solution;
      return {
        ...proved,
        solution: { ...proved.solution, job: { ...job, shop: { ...job.shop, printer: { ...job.shop.printer, bed } } } },
      };
    };
    expect(codes(onBed([size[1] + 1, size[0] + 1, size[2] + 1]))).toEqual([]);
    expect(codes(onBed([size[0] + 1, size[1] + 1, size[2] - 1]))).toEqual(['proof/bed']);
    expect(codes(onBed([size[0] - 1, size[0] - 1, size[2] + 1]))).toEqual(['proof/bed']);
  });
});

describe('the tube going in', () => {
  const bore: readonly [number, number] = [0.2, 0.4];

  test('a bore 0.04 mm tighter fails by its clearance alone', () => {
    const proof = prove(kernel, radially(collar(), bore, -0.04));
    expect(codesOf(proof)).toEqual(['proof/clearance']);
    expect(firstPart(proof).clearance!.least).toBeCloseTo(0.23, 2);
  });

  test('a bore 0.05 mm looser fails by its clearance alone', () => {
    const proof = prove(kernel, radially(collar(), bore, 0.05));
    expect(codesOf(proof)).toEqual(['proof/clearance']);
    expect(firstPart(proof).clearance!.most).toBeGreaterThan(0.3);
  });

  test('a bore far too loose is no fitted bore', () => {
    const proof = prove(kernel, radially(collar(), bore, 2));
    expect(codesOf(proof)).toContain('proof/clearance');
    expect(firstPart(proof).clearance!.cover).toBeLessThan(0.9);
  });

  test('a bore smaller than the tube overlaps it', () => {
    const proof = prove(kernel, radially(collar(), bore, -0.5));
    expect(codesOf(proof)).toContain('proof/overlap');
    expect(firstPart(proof).overlap).toBeGreaterThan(10);
  });

  test('a cradle that the tube is to leave sideways overlaps it on the way', () => {
    const { heading } = frameAt(guide().tool.end!.member.centerline, 0);
    const sideways = (tube: HeldTube): HeldTube => {
      if (tube.insertion.kind !== 'lift') expect.fail('a guide is lifted into');
      const { out } = tube.insertion;
      const across: Vec3 = [
        out[1] * heading[2] - out[2] * heading[1],
        out[2] * heading[0] - out[0] * heading[2],
        out[0] * heading[1] - out[1] * heading[0],
      ];
      return { ...tube, insertion: { kind: 'lift', out: across } };
    };
    expect(codes(tubeClaimed(guide(), sideways))).toContain('proof/overlap');
  });

  test('walls that close in over the tube, clear of it where it lies, stop it on its way out', () => {
    const { centerline, section } = guide().tool.end!.member;
    const [tube] = guide().tool.parts[0]!.tubes;
    if (tube?.insertion.kind !== 'lift') expect.fail('a guide is lifted into');
    const { out } = tube.insertion;
    const { cut } = featureOf(guide(), 'slot');
    // The walls' outer top edges, 7 mm above the axis, fold in to where the tube is narrower than at its widest.
    const lips = movedInJob(guide(), (p) => {
      if (Math.abs(dot(sub(p, cut.point), cut.normal)) < 5) return undefined;
      const { s, a, b } = besideCenterline(centerline, section, p);
      const { origin, right, up, heading } = frameAt(centerline, s);
      const across = unit(cross(out, heading));
      const side = a * dot(right, across) + b * dot(up, across);
      const isLip = dot(sub(p, origin), out) > 6.5 && Math.abs(side) > 20.6 && Math.abs(side) < 22.5;
      return isLip ? along(p, across, Math.sign(side) * 19.6 - side) : undefined;
    });
    const proof = prove(kernel, lips);
    expect(codesOf(proof)).toEqual(['proof/overlap']);
    expect(firstPart(proof).clearance!.least).toBeGreaterThan(0.25);
    expect(firstPart(proof).overlap).toBeGreaterThan(1);
  });

  test('a guide that lies across a straight and a bend cannot slide', () => {
    expect(
      codes(tubeClaimed(tools.get('bend-end-saw-guide')!, (tube) => ({ ...tube, insertion: { kind: 'slide' } }))),
    ).toContain('proof/overlap');
  });

  test('a tube that goes on past the ledge it is to stand on overlaps it', () => {
    const { datum } = collar().tool;
    const s = datum!.s;
    const longer = tubeClaimed(collar(), (tube) =>
      Math.abs(tube.to - s) < 1e-6 ? { ...tube, to: s + 60 } : { ...tube, from: s - 60 },
    );
    expect(codes(longer)).toContain('proof/overlap');
  });

  test('a mouth narrower than the tube stops it on its way, though none of the tube lies in it in place', () => {
    const { s } = collar().tool.datum!;
    const { centerline, section } = collar().tool.end!.member;
    // The last 10 mm of the stock behind the ledge; the rest of the collar stands out past its end.
    const stub = tubeClaimed(collar(), (tube) =>
      Math.abs(tube.to - s) < 1e-6 ? { ...tube, from: s - 10 } : { ...tube, to: s + 10 },
    );
    const mouth = movedInJob(stub, (p) => {
      const beside = besideCenterline(centerline, section, p);
      const d = sectionDistance(section, beside.a, beside.b);
      if (d > 1 || Math.abs(beside.s - s) < 11) return undefined;
      const { origin } = frameAt(centerline, beside.s);
      return lerp(p, origin, 3 / Math.hypot(beside.a, beside.b));
    });
    expect(codes(stub)).not.toContain('proof/overlap');
    const proof = prove(kernel, mouth);
    expect(codesOf(proof)).toContain('proof/overlap');
    expect(firstPart(proof).clearance!.least).toBeGreaterThan(0.2);
  });
});

describe('the working edge', () => {
  /** Vertices within 0.3 mm of the rim, moved along the tube by what the rule says at their turn. */
  const rimMoved = (proved: Proved, by: (turn: number) => number): Proved => {
    const { centerline, section } = proved.tool.end!.member;
    const { samples } = featureOf(proved, 'cut-edge').curve;
    return movedInJob(proved, (p) => {
      const { s, a, b } = besideCenterline(centerline, section, p);
      if (sectionDistance(section, a, b) > 5) return undefined;
      const turn = (Math.atan2(a, b) / (2 * Math.PI) + 1) % 1;
      const near = samples.reduce((best, sample) =>
        Math.abs(sample.u - turn) < Math.abs(best.u - turn) ? sample : best,
      );
      return Math.abs(s - near.s) < 0.3 ? along(p, frameAt(centerline, s).heading, by(turn)) : undefined;
    });
  };

  test('a rim 0.05 mm too high fails', () => {
    const proof = prove(
      kernel,
      rimMoved(collar(), () => 0.05),
    );
    expect(codesOf(proof)).toEqual(['proof/edge']);
    expect(firstPart(proof).edgeDeviation).toBeGreaterThan(0.03);
    expect(firstPart(proof).edgeDeviation).toBeLessThan(0.06);
  });

  test('a rim 0.015 mm off passes and is measured', () => {
    const proof = prove(
      kernel,
      rimMoved(collar(), () => 0.015),
    );
    expect(codesOf(proof)).toEqual([]);
    expect(firstPart(proof).edgeDeviation).toBeGreaterThan(0.008);
  });

  test('a notch of 5 degrees in the rim is missing from it', () => {
    const proof = prove(
      kernel,
      rimMoved(collar(), (turn) => (Math.abs(turn - 0.4) < 2.5 / 360 ? -3 : 0)),
    );
    expect(proof.problems.some(({ code, message }) => code === 'proof/edge' && message.includes('missing'))).toBe(true);
    expect(firstPart(proof).edgeCover).toBeLessThan(0.99);
  });

  test('the edge of one cut is not that of another', () => {
    const other = tools.get('branch-inner')!;
    const proved = {
      ...collar(),
      tool: { ...collar().tool, parts: [{ ...collar().tool.parts[0]!, features: other.tool.parts[0]!.features }] },
    };
    expect(codes(proved)).toContain('proof/edge');
  });

  test('a curve that is not the cut of its end is told, however well the rim follows it', () => {
    const lifted = claimed(
      rimMoved(collar(), () => 0.05),
      (part) => ({
        ...part,
        features: part.features.map((feature) =>
          feature.kind === 'cut-edge'
            ? {
                ...feature,
                curve: {
                  ...feature.curve,
                  samples: feature.curve.samples.map((sample) => ({ ...sample, s: sample.s + 0.05 })),
                },
              }
            : feature,
        ),
      }),
    );
    expect(codes(lifted)).toContain('proof/edge');
  });
});

describe('the slot', () => {
  const faceMoved = (proved: Proved, which: 'kept' | 'waste', by: number): Proved => {
    const { cut, keptOffset, width } = featureOf(proved, 'slot');
    const offset = which === 'kept' ? keptOffset : keptOffset + width;
    // Along the tube, so that the bore's facets stay on the bore.
    const { heading } = frameAt(proved.tool.end!.member.centerline, 0);
    const step = by / dot(heading, cut.normal);
    return movedInJob(proved, (p) =>
      Math.abs(dot(sub(p, cut.point), cut.normal) - offset) < 1e-3 ? along(p, heading, step) : undefined,
    );
  };

  test('a kept face 0.05 mm toward the body fails', () => {
    const proof = prove(kernel, faceMoved(guide(), 'kept', -0.05));
    expect(codesOf(proof)).toEqual(['proof/slot']);
    expect(firstPart(proof).slotDeviation).toBeCloseTo(0.05, 4);
    expect(firstPart(proof).slotWidth).toBeCloseTo(1.25, 4);
  });

  test('a waste face 0.05 mm off fails, and so does one a whole millimeter off', () => {
    expect(codes(faceMoved(guide(), 'waste', 0.05))).toEqual(['proof/slot']);
    expect(codes(faceMoved(guide(), 'waste', 1))).toContain('proof/slot');
  });

  test('a slot at 30 degrees is none for a cut at 29.9', () => {
    const turn = claimed(guide(), (part) => ({
      ...part,
      features: part.features.map((feature) => {
        if (feature.kind !== 'slot') return feature;
        const { heading } = frameAt(guide().tool.end!.member.centerline, 0);
        const leaning = along(feature.cut.normal, heading, 0.0035);
        return { ...feature, cut: { ...feature.cut, normal: scale(leaning, 1 / Math.hypot(...leaning)) } };
      }),
    }));
    expect(codes(turn)).toContain('proof/slot');
  });

  test('a slot open above is not open for a blade that stands up', () => {
    const chop = tools.get('miter-chop')!;
    const proof = prove(kernel, { ...chop, tool: { ...chop.tool, saw: guide().tool.saw! } });
    expect(proof.problems.map(({ code, message }) => [code, message.includes('not open')])).toEqual([
      ['proof/slot', true],
    ]);
  });
});

describe('the datum', () => {
  const datumMoved = (by: number): Proved => {
    const { plane } = featureOf(collar(), 'datum');
    return movedInJob(collar(), (p) =>
      Math.abs(dot(sub(p, plane.point), plane.normal)) < 1e-3 ? along(p, plane.normal, by) : undefined,
    );
  };

  test('a ledge 0.03 mm too low fails', () => {
    const proof = prove(kernel, datumMoved(-0.03));
    expect(codesOf(proof)).toEqual(['proof/datum']);
    expect(firstPart(proof).datumDeviation).toBeCloseTo(0.03, 4);
  });

  test('a ledge that is somewhere else is not found', () => {
    expect(codes(datumMoved(-0.3))).toContain('proof/datum');
  });
});

describe('walls and overhangs', () => {
  test('a wall two millimeters thinner fails', () => {
    const proof = prove(kernel, radially(collar(), [3.5, 4.5], -2));
    expect(codesOf(proof)).toContain('proof/thin-wall');
    expect(firstPart(proof).thinnestWall).toBeLessThan(2.1);
  });

  test('a cradle upside down hangs over, and nothing else of it changes', () => {
    const proved = guide();
    const before = firstPart(prove(kernel, proved));
    const over: Placement = { origin: [0, 0, before.size[2]], x: [1, 0, 0], y: [0, -1, 0], z: [0, 0, -1] };
    const turned = broken(proved, (mesh) => moved(mesh, ([x, y, z]) => [x, -y, before.size[2] - z]));
    const proof = prove(
      kernel,
      claimed(turned, (part) => ({ ...part, pose: compose(part.pose, inverse(over)) })),
    );
    expect(codesOf(proof)).toContain('proof/overhang');
    expect(codesOf(proof).filter((code) => code !== 'proof/bed')).toEqual(['proof/overhang']);
    expect(firstPart(proof).widestOverhang).toBeGreaterThan(6.5);
    expect(firstPart(proof).overhangArea).toBeGreaterThan(before.overhangArea + 1000);
    expect(firstPart(proof).clearance!.least).toBeCloseTo(before.clearance!.least, 4);
  });
});
