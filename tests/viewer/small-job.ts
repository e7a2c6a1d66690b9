import { jobSheet } from '../../src/export/sheet-content.ts';
import type { SheetTool } from '../../src/export/sheet-source.ts';
import { made, meshOf } from '../support/tools.ts';

/** A post, an arm with a bend coped to it and cut off in its bend; one collar, so that a test is soon done. */
const SMALL = `
job: small-bracket
sections: { tube: { kind: round, od: 30, wall: 2 } }
members:
  post: { section: tube, points: [[0, 0, 0], [0, 0, 300]] }
  arm:
    section: tube
    start: { at: [0, 0, 150], heading: [1, 0, 0], up: [0, 0, 1] }
    run: [{ straight: 120 }, { bend: { clr: 60, angle: 60, toward: down } }, { straight: 40 }]
joints:
  - cope: { branch: arm.start, run: post }
  - trim: { end: arm.end, into-bend: 45 }
tools:
  - notch-collar: arm.start
`;

export function smallJob() {
  const { solution, tools } = made(SMALL);
  const sheetTools = tools.map((tool): SheetTool => {
    const meshes = tool.parts.map((part) => ({ name: part.name, mesh: meshOf(part) }));
    return { tool, proofs: [], meshes };
  });
  return { solution, tools: sheetTools, sheet: jobSheet(solution, { tools: sheetTools, madeBy: 'kerfwright 0.0.0' }) };
}
