import fc from 'fast-check';
import { expect, test } from 'vitest';
import { readStl, stlBytes } from '../../src/export/stl.ts';
import { proveTool } from '../../src/proof/prove.ts';
import { kernel, meshOf, tried } from '../support/tools.ts';

/** A section as the job file writes it: every kind, common shop sizes, sharp and round corners. */
const section = fc.oneof(
  fc.record({ od: fc.integer({ min: 16, max: 60 }) }).map(({ od }) => `{ kind: round, od: ${od}, wall: 2 }`),
  fc
    .record({ height: fc.integer({ min: 20, max: 45 }), more: fc.integer({ min: 10, max: 50 }) })
    .map(({ height, more }) => `{ kind: flat-oval, width: ${height + more}, height: ${height}, wall: 1.5 }`),
  fc
    .record({ width: fc.integer({ min: 40, max: 70 }), height: fc.integer({ min: 28, max: 40 }) })
    .map(({ width, height }) => `{ kind: ellipse, width: ${width}, height: ${height}, wall: 1.5 }`),
  fc
    .record({
      width: fc.integer({ min: 20, max: 60 }),
      height: fc.integer({ min: 20, max: 60 }),
      corner: fc.constantFrom(0, 2, 4, 6),
    })
    .map(
      ({ width, height, corner }) =>
        `{ kind: rectangle, width: ${width}, height: ${height}, wall: 2, corner-radius: ${corner} }`,
    ),
);

const FLAT_TOOLS =
  'tools: [{ saw-guide: { end: m.end, saw: SAW } }, { marking-gauge: m.end }, { notch-collar: { end: m.end, parts: PARTS } }]';

const trimmed = fc
  .record({
    section,
    at: fc.integer({ min: 250, max: 600 }),
    miter: fc.oneof(fc.constant(0), fc.integer({ min: 1, max: 55 })),
    side: fc.integer({ min: 0, max: 359 }),
    saw: fc.constantFrom('bandsaw', 'chop-saw'),
    parts: fc.constantFrom('1', '2'),
  })
  .map(
    (x) => `job: t
sections: { s: ${x.section} }
members: { m: { section: s, points: [[0, 0, 0], [${x.at}, 0, 0]] } }
joints: [{ trim: { end: m.end, at: ${x.at - 100}, miter: ${x.miter}, long-point: ${x.side} } }]
${FLAT_TOOLS.replace('SAW', x.saw).replace('PARTS', x.parts)}`,
  );

const inBend = fc
  .record({
    section,
    straight: fc.integer({ min: 10, max: 120 }),
    clr: fc.constantFrom('1.5D', '2D', '3D'),
    angle: fc.integer({ min: 50, max: 120 }),
    into: fc.integer({ min: 18, max: 45 }),
    toward: fc.constantFrom('up', 'down', 'left', 'right'),
    saw: fc.constantFrom('bandsaw', 'chop-saw'),
  })
  .map(
    (x) => `job: t
sections: { s: ${x.section} }
members: { m: { section: s, start: { at: [0, 0, 0], heading: [1, 0, 0], up: [0, 0, 1] }, run: [{ straight: ${x.straight} }, { bend: { clr: ${x.clr}, angle: ${x.angle}, toward: ${x.toward} } }, { straight: 80 }] } }
joints: [{ trim: { end: m.end, into-bend: ${x.into} } }]
${FLAT_TOOLS.replace('SAW', x.saw).replace(', parts: PARTS', '')}`,
  );

const coped = fc
  .record({
    section,
    run: fc.integer({ min: 120, max: 180 }),
    angle: fc.integer({ min: 35, max: 90 }),
    offset: fc.integer({ min: -5, max: 5 }),
    surface: fc.constantFrom('outer', 'inner', 'square'),
    datum: fc.constantFrom('stock', 'mark'),
    parts: fc.constantFrom('1', '2'),
  })
  .map((x) => {
    const [cos, sin] = [Math.cos((x.angle * Math.PI) / 180), Math.sin((x.angle * Math.PI) / 180)];
    return `job: t
sections: { s: ${x.section}, r: { kind: round, od: ${x.run}, wall: 3 } }
members:
  r: { section: r, points: [[-700, 0, 0], [700, 0, 0]] }
  m: { section: s, points: [[${(-600 * cos).toFixed(4)}, ${x.offset}, ${(600 * sin).toFixed(4)}], [0, ${x.offset}, 0]] }
joints: [{ cope: { branch: m.end, run: r, gap: 0.4 } }]
tools: [{ notch-collar: { end: m.end, surface: ${x.surface}, datum: ${x.datum}, parts: ${x.parts} } }]`;
  });

/** Refusals that name what is in the way; anything else, a failed proof above all, is a fault of ours. */
const HONEST = new Set([
  'tool/crosses-bend',
  'tool/cannot-insert',
  'joint/misses',
  'joint/branch-overhangs-run',
  'bend/tighter-than-tube',
]);

function outcomeOf(yaml: string): readonly string[] {
  const { solution, tools, problems } = tried(yaml);
  const refused = problems
    .filter((problem) => problem.severity === 'error' && !HONEST.has(problem.code))
    .map((problem) => problem.message);
  const failed = tools.flatMap((tool) => {
    const files = tool.parts.map((part) => {
      const built = meshOf(part);
      return { part: part.name, built, meshes: [{ format: 'stl', mesh: readStl(stlBytes(built)) } as const] };
    });
    return proveTool(kernel, tool, solution!, files).problems.map((problem) => problem.message);
  });
  return [...refused, ...failed];
}

test.each([
  ['flat cuts on straights', trimmed, 14],
  ['cuts part way round bends', inBend, 14],
  ['copes', coped, 30],
] as const)(
  '%s of random sections and sizes: every tool is proved on its bytes, or refused by name',
  (_, jobs, numRuns) => {
    fc.assert(
      fc.property(jobs as fc.Arbitrary<string>, (yaml) => {
        expect(outcomeOf(yaml)).toEqual([]);
      }),
      { seed: 20_261, numRuns },
    );
  },
);
