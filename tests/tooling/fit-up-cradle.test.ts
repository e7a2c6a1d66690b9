import { describe, expect, test } from 'vitest';
import { frameAt } from '../../src/geometry/centerline.ts';
import { place, unplace } from '../../src/geometry/placement.ts';
import { along, dot, sub } from '../../src/geometry/vector.ts';
import type { Tool } from '../../src/tooling/tool.ts';
import { type Proved, prove, toolsOf } from '../proof/support.ts';
import { example, inJob, kernel, made, meshOf, tried } from '../support/tools.ts';

const tee = (cradle: string, more: { bed?: string; run?: string; branch?: string } = {}): string => `
job: t
shop: { printer: { bed: ${more.bed ?? '[220, 220, 250]'} } }
sections:
  a: { kind: round, od: 42.4, wall: 2 }
  b: { kind: round, od: 33.7, wall: 2 }
members:
  run: { section: a, points: ${more.run ?? '[[-300, 0, 0], [300, 0, 0]]'} }
  branch: { section: b, points: ${more.branch ?? '[[0, 0, 0], [0, 250, 0]]'} }
joints:
  - cope: { name: tee, branch: branch.start, run: run, gap: 0.5 }
  - trim: { name: end, end: branch.end, at: 240 }
tools: [{ fit-up-cradle: ${cradle} }]
`;

const only = (yaml: string): Proved => {
  const [proved] = toolsOf(kernel, made(yaml).solution.job).values();
  return proved!;
};
const fact = (tool: Tool, label: string): number | string | undefined =>
  tool.facts.find((one) => one.label === label)?.value;
const refusal = (yaml: string) => {
  const errors = tried(yaml).problems.filter(({ severity }) => severity === 'error');
  return errors.map(({ code, path }) => `${code} ${path.join('.')}`);
};

describe('a cradle for a coped tee', () => {
  const proved = only(tee('tee'));
  const proof = prove(kernel, proved);
  const { tool } = proved;

  test('is proved: tubes drop in with their fit, and no print comes within the heat distance', () => {
    expect(proof.problems).toEqual([]);
    const [part] = proof.parts;
    expect(tool.name).toBe('tee-fit-up-cradle');
    expect(tool.parts.map(({ tubes }) => tubes.map(({ member }) => member.name))).toEqual([['run', 'branch']]);
    expect(part!.overlap).toBe(0);
    expect(part!.clearance!.least).toBeGreaterThan(0.29);
    expect(part!.clearance!.cover).toBeGreaterThanOrEqual(0.45);
    expect(part!.seamDistance).toBeGreaterThanOrEqual(25);
    // As near as it may be: the search goes in steps of a millimeter.
    expect(part!.seamDistance).toBeLessThan(26.3);
    expect(part!.faceDeviation).toBeLessThan(1e-3);
  });

  test('stands under tubes that lie level, on two saddles each', () => {
    const { out } = tool.parts[0]!.tubes[0]!.insertion as { out: readonly [number, number, number] };
    expect(out).toEqual([0, 0, 1]);
    const posts = tool.facts.filter(({ label }) => label.includes('face of saddle'));
    expect(posts).toHaveLength(4);
  });

  test('says how far the mark lies from the end of the tube, which is where the face stands on the mesh', () => {
    const distance = fact(tool, 'run: from its start to the start face of saddle 1') as number;
    const { centerline } = tool.parts[0]!.tubes[0]!.member;
    const { origin, heading } = frameAt(centerline, distance);
    const part = tool.parts[0]!;
    const onFace = inJob(part, meshOf(part)).filter(
      (p) => Math.abs(dot(sub(p, origin), heading)) < 1e-4 && Math.abs(dot(sub(p, origin), [0, 1, 0])) < 26,
    );
    expect(onFace.length).toBeGreaterThan(20);
  });

  test('says it on that face too, has a notch there to roll the tube by, and holes to be screwed down by', () => {
    const part = tool.parts[0]!;
    const texts = JSON.stringify(part.solid);
    const distance = fact(tool, 'run: from its start to the start face of saddle 1') as number;
    expect(texts).toContain(`mark ${distance} mm`);
    // Given no `up` the run's lies level, along y: its witness line is at its side, and the line below it a quarter turn on.
    expect(fact(tool, 'run: notches in its saddles')).toMatch(/^the line 90 deg clockwise from the witness line/);
    const bores = part.features.filter((feature) => feature.kind === 'bore');
    expect(bores).toHaveLength(4);
    expect(proof.parts[0]!.boreDeviation).toBeLessThan(0.02);
  });

  test('lies flat on the bench below the lowest seam by the heat distance at least', () => {
    const part = tool.parts[0]!;
    const heights = inJob(part, meshOf(part)).map((p) => p[2]);
    const bench = Math.min(...heights);
    expect(place(part.pose, [0, 0, 0])[2]).toBeCloseTo(bench, 6);
    expect(-33.7 / 2 - bench).toBeGreaterThan(25 + 7);
  });
});

describe('the end of a tube', () => {
  test('is stopped where it is near, square and comes straight down; a coped tube is not stopped', () => {
    const proved = only(
      tee('tee', { run: '[[-100, 0, 0], [300, 0, 0]]', branch: '[[0, 0, 0], [0, 130, 0]]' }).replace(
        'at: 240',
        'at: 120',
      ),
    );
    expect(prove(kernel, proved).problems).toEqual([]);
    const data = proved.tool.parts[0]!.features.filter((feature) => feature.kind === 'datum');
    expect(data.filter(({ by }) => by === 'stop').map(({ tube, s }) => [tube, s])).toEqual([['run', 0]]);
    expect(data.filter(({ tube }) => tube === 'branch').every(({ by }) => by === 'mark')).toBe(true);
  });
});

describe('a base larger than the bed', () => {
  const proved = only(tee('tee', { bed: '[110, 110, 120]' }));
  const proof = prove(kernel, proved);

  test('is parted into pieces that fit and are keyed, and proved as one', () => {
    expect(proof.problems).toEqual([]);
    expect(proof.parts.length).toBeGreaterThan(2);
    for (const { size } of proof.parts) expect(Math.max(size[0], size[1])).toBeLessThanOrEqual(110);
    const { joined } = proof;
    expect(joined!.partsOverlap).toBe(0);
    expect(joined!.keyPlay).toBeLessThanOrEqual(0.6);
    expect(joined!.clearance!.cover).toBeGreaterThanOrEqual(0.45);
    expect(joined!.seamDistance).toBeGreaterThanOrEqual(25);
  });

  test('has all its pieces on one bench, and every saddle on one of them', () => {
    const { tool } = proved;
    const bench = tool.parts.map(({ pose }) => place(pose, [0, 0, 0])[2]);
    expect(Math.max(...bench) - Math.min(...bench)).toBeLessThan(1e-9);
    const marks = tool.parts.flatMap(({ features }) => features.filter(({ kind }) => kind === 'datum'));
    expect(marks).toHaveLength(4);
  });
});

test('a whole frame stands on bases of its own, all on one bench and along its axes', () => {
  const text = example('bench-frame').replace(/^tools:[\s\S]*/m, 'tools: [{ fit-up-cradle: { all: true } }]');
  const { tools } = made(text);
  const [tool] = tools;
  expect(tool!.parts).toHaveLength(6);
  expect(tool!.joined!.keys).toEqual([]);
  const axes = tool!.parts.map(({ pose }) => pose.x);
  expect(new Set(axes.map((x) => x.map((k) => Math.round(k * 1e9)).join())).size).toBe(1);
  // Mirror images of each other: corners on one line.
  expect(fact(tool!, 'base 2 (cope-rung-start): corner beyond that of base 1, square to that')).toBeCloseTo(0, 9);
  expect(fact(tool!, 'base 3 (miter-front-end): corner beyond that of base 1, along')).toBeCloseTo(1052, 9);
});

describe('a cradle that cannot be made says which tube and why', () => {
  test('a tube that stands up', () => {
    expect(refusal(tee('{ joint: tee, up: [0, 1, 0] }'))).toEqual(['tool/cannot-insert tools.0.fit-up-cradle']);
    const [problem] = tried(tee('{ joint: tee, up: [0, 1, 0] }')).problems;
    expect(problem!.message).toContain('"branch" leans 90 deg');
  });

  test('a heat distance longer than the tube', () => {
    expect(refusal(tee('{ joint: tee, heat: 240 }'))).toEqual(['tool/no-room tools.0.fit-up-cradle']);
  });

  test('a saddle asked for at the seam, and one asked for where it may stand', () => {
    expect(refusal(tee('{ joint: tee, stations: { branch: [30] } }'))).toEqual(['tool/no-room tools.0.fit-up-cradle']);
    const { tools } = made(tee('{ joint: tee, stations: { branch: [70, 150] } }'));
    expect(tools[0]!.facts.filter(({ label }) => label.startsWith('branch: from'))).toHaveLength(2);
  });

  test('a base too near to the seams', () => {
    expect(refusal(tee('{ joint: tee, height: 20 }'))).toEqual(['tool/no-room tools.0.fit-up-cradle']);
    const bench = (height: string): number =>
      place(made(tee(`{ joint: tee${height} }`)).tools[0]!.parts[0]!.pose, [0, 0, 0])[2];
    expect(bench(', height: 80')).toBeCloseTo(-21.2 - 80, 6);
    expect(bench('')).toBeGreaterThan(-21.2 - 40);
  });

  test('a printer too small for any piece', () => {
    expect(refusal(tee('tee', { bed: '[55, 55, 120]' }))).toEqual(['tool/larger-than-bed tools.0.fit-up-cradle']);
    // Both tubes are told.
    expect(refusal(tee('tee', { bed: '[220, 220, 50]' }))).toEqual([
      'tool/larger-than-bed tools.0.fit-up-cradle',
      'tool/larger-than-bed tools.0.fit-up-cradle',
    ]);
  });

  test('a joint that is none, a trim, members that nothing joins, and two ways of saying what it holds', () => {
    expect(refusal(tee('tea'))).toEqual(['reference/unknown tools.0.fit-up-cradle']);
    expect(refusal(tee('end'))).toEqual(['tool/no-cut tools.0.fit-up-cradle']);
    expect(refusal(tee('{ members: [branch] }'))).toEqual(['tool/no-cut tools.0.fit-up-cradle']);
    expect(refusal(tee('{ joint: tee, all: true }'))[0]).toContain('field/conflict');
    expect(refusal(tee('{ members: [run, spar] }'))).toEqual(['reference/unknown tools.0.fit-up-cradle.members.1']);
    expect(refusal(tee('{ joint: tee, stations: { spar: [30] } }'))).toEqual([
      'reference/unknown tools.0.fit-up-cradle.stations.spar',
    ]);
  });
});

test('the same cradle somewhere else in the job has the same mark, another heat distance another', () => {
  const mark = (yaml: string): string => made(yaml).tools[0]!.revision;
  const moved = tee('tee', {
    run: '[[-300, 40, 70], [300, 40, 70]]',
    branch: '[[0, 40, 70], [0, 290, 70]]',
  });
  expect(mark(moved)).toBe(mark(tee('tee')));
  expect(mark(tee('{ joint: tee, heat: 26 }'))).not.toBe(mark(tee('tee')));
});

test('every part of a tilted branch still drops in from above', () => {
  const proved = only(
    tee('{ joint: tee, up: [0, 0, 1] }', { branch: '[[0, 0, 0], [0, 220, 90]]' }).replace('at: 240', 'at: 230'),
  );
  expect(prove(kernel, proved).problems).toEqual([]);
  const { tool } = proved;
  expect(fact(tool, 'branch: rises to its end')).toBeCloseTo((Math.atan2(90, 220) * 180) / Math.PI, 6);
  const { origin } = frameAt(tool.parts[0]!.tubes[1]!.member.centerline, 150);
  expect(unplace(tool.parts[0]!.pose, along(origin, [0, 0, 1], 0))[2]).toBeGreaterThan(50);
});

describe('a whole assembly in space', () => {
  const arch = (bed: string, more = '') => `
job: t
shop: { printer: { bed: ${bed} } }
sections:
  rail: { kind: round, od: 40, wall: 2 }
  bow: { kind: round, od: 24, wall: 2 }
members:
  left: { section: rail, points: [[-140, -200, 0], [-140, 200, 0]], up: [0, 0, 1] }
  right: { mirror: left, across: { normal: [1, 0, 0] } }
  bow: { section: bow, points: [[-140, 0, 0], [-110, 10, 190], [110, 10, 190], [140, 0, 0]], clr: 80 }
${more}
joints:
  - cope: { branch: bow.start, run: left, gap: 0.4 }
  - cope: { branch: bow.end, run: right, gap: 0.4 }
tools: [{ fit-up-cradle: { all: true } }]
`;

  test('stands on posts that are printed in pieces where they are taller than the printer, saddles on bends included', () => {
    const proved = only(arch('[200, 200, 160]'));
    const proof = prove(kernel, proved);
    expect(proof.problems).toEqual([]);
    const { tool } = proved;
    for (const { size } of proof.parts) expect(size[2]).toBeLessThanOrEqual(160);
    const stacked = tool.joined!.keys.filter(({ up, across }) => Math.abs(dot(up, across)) < 1e-9);
    expect(stacked.length).toBeGreaterThan(1);
    // Every piece of a post stands where the one below ends: poses at different heights over one bench.
    const heights = tool.parts.map(({ pose }) => Math.round(place(pose, [0, 0, 0])[2]));
    expect(new Set(heights).size).toBeGreaterThan(1);
    expect(proof.joined!.keyPlay).toBeLessThanOrEqual(0.6);
    expect(proof.joined!.partsOverlap).toBe(0);
    expect(proof.joined!.seamDistance).toBeGreaterThanOrEqual(25);
    // A saddle on the bend, where the tube is out of level.
    const { centerline } = tool.joined!.tubes.find(({ member }) => member.name === 'bow')!.member;
    const { piece } = { piece: proved.solution.pieces.find(({ member }) => member.name === 'bow')! };
    const faces = tool.facts.flatMap(({ label, value }) =>
      label.startsWith('bow: from its long point of its start') ? [piece.from + (value as number)] : [],
    );
    const leans = faces.map((s) => Math.abs(frameAt(centerline, s).heading[2]));
    expect(Math.max(...leans)).toBeGreaterThan(0.2);
  });

  test('is held without a member that stands up, and says which and why', () => {
    const yaml = arch('[250, 250, 250]').replace(
      /bow: \{ section: bow, points[^\n]*/,
      'bow: { section: bow, points: [[-140, 0, 0], [140, 0, 0]] }\n  leg: { section: bow, points: [[-140, 120, 0], [-140, 120, 300]] }',
    );
    const text = yaml.replace('tools:', '  - cope: { branch: leg.start, run: left }\ntools:');
    const { tools, problems } = tried(text);
    expect(problems.map(({ code, severity }) => `${severity} ${code}`)).toEqual(['warning tool/cannot-insert']);
    expect(problems[0]!.message).toContain('"leg" leans 90 deg');
    expect(problems[0]!.hint).toContain('set "leg" with a square');
    expect(tools[0]!.facts.find(({ label }) => label === 'leg: not held')).toBeDefined();
    expect(tools[0]!.joined!.tubes.map(({ member }) => member.name)).toEqual(['left', 'right', 'bow']);
    // Asked for by its joint it is refused: a cradle for one joint holds all of it.
    const one = text.replace('{ all: true }', 'cope-leg-start');
    expect(tried(one.replace('cope-leg-start', '{ joint: cope-leg-start, up: [0, 0, 1] }')).tools).toEqual([]);
  });

  test('has its bench below everything that hangs down', () => {
    const yaml = arch('[250, 250, 250]').replace('{ all: true }', '{ all: true, up: [0, 0, -1] }');
    const proved = only(yaml);
    const bench = place(proved.tool.parts[0]!.pose, [0, 0, 0])[2];
    // Upside down the bow hangs lowest: half its tube, the heat distance does not decide.
    expect(bench).toBeGreaterThan(190 + 12 + 7);
    expect(prove(kernel, proved).problems).toEqual([]);
  });
});
