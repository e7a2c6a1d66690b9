import fc from 'fast-check';
import { readStl, stlBytes } from '../../src/export/stl.ts';
import { proveTool } from '../../src/proof/prove.ts';
import { kernel, meshOf, tried } from './tools.ts';

/** A section as the job file writes it: every kind, common shop sizes, sharp and round corners. */
export const section = fc.oneof(
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

/** Refusals that name what is in the way; anything else, a failed proof above all, is a fault of ours. */
const HONEST = new Set([
  'tool/crosses-bend',
  'tool/cannot-insert',
  'joint/misses',
  'joint/branch-overhangs-run',
  'bend/tighter-than-tube',
  'tool/larger-than-bed',
  'tool/cannot-build',
  'tool/no-room',
]);

/** What is wrong with the tools of a job: nothing, where every one is proved on its bytes or refused by name. */
export function outcomeOf(yaml: string): readonly string[] {
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
