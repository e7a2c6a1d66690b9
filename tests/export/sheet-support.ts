import { cutTable } from '../../src/export/cut-table.ts';
import { picture } from '../../src/export/picture.ts';
import { pngBytes } from '../../src/export/png.ts';
import type { JobSheet } from '../../src/export/sheet-blocks.ts';
import { jobSheet } from '../../src/export/sheet-content.ts';
import type { SheetTool } from '../../src/export/sheet-source.ts';
import { loadJob } from '../../src/job/load.ts';
import type { Solution } from '../../src/solve/solution.ts';
import { solveJob } from '../../src/solve/solve.ts';
import { prove, toolsOf } from '../proof/support.ts';
import { example, kernel } from '../support/tools.ts';

export const EXAMPLES = ['bench-frame', 'boat-rail', 'cargo-rack', 'dust-wye', 'flue-elbow'] as const;
const PICTURE = { width: 480, height: 360 } as const;

export interface SheetOfExample {
  readonly sheet: JobSheet;
  readonly solution: Solution;
  readonly tools: readonly SheetTool[];
}

/** The sheet of an example with its first tools, made and proved; all of them take longer than a test should. */
export function sheetOf(name: string, most = 2): SheetOfExample {
  const { value: job, problems } = loadJob(example(name), {});
  if (!job) throw new Error(problems.map(({ message }) => message).join('\n'));
  const solution = solveJob(job).value!;
  const proved = [...toolsOf(kernel, job).values()].slice(0, most);
  const tools = proved.map((made): SheetTool => {
    const meshes = made.files.map(({ built }) => ({ mesh: built, color: [226, 132, 52] as const }));
    const rgba = picture(meshes, { ...PICTURE, view: { from: [-0.6, -1, 0.75] } });
    return {
      tool: made.tool,

      proofs: prove(kernel, made).parts,
      picture: { ...PICTURE, png: pngBytes(rgba) },
    };
  });
  return { sheet: jobSheet(solution, { tools, madeBy: 'kerfwright 0.0.0' }), solution, tools };
}

export const rowsOf = (solution: Solution) => cutTable(solution).pieces;
