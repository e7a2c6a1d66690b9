import type { PaperFormat } from '../export/sheet-files.ts';
import type { SheetTool } from '../export/sheet-source.ts';
import type { ViewScript } from '../export/sheet-view.ts';
import type { Problem } from '../job/problem.ts';
import type { Solution } from '../solve/solution.ts';
import { makeTool } from '../tooling/registry.ts';
import type { ToolRequest } from '../tooling/request.ts';
import { type MadeFile, madeFile, PICTURE, type ToolResult } from './tool-result.ts';

/** Whether a sheet shows the tools with their pictures and proofs: then all of them are made. */
export const showsTools = (formats: readonly PaperFormat[]): boolean =>
  formats.includes('html') || formats.includes('pdf');

export interface PaperWork {
  readonly solution: Solution;
  readonly formats: readonly PaperFormat[];
  /** Also the assembly as a picture. */
  readonly assemblyPng: boolean;
  /** The tools made, with what was asked of each. */
  readonly made: readonly { readonly request: ToolRequest; readonly result: NonNullable<ToolResult['made']> }[];
  readonly warnings: readonly Problem[];
  readonly madeBy: string;
  readonly viewScript?: () => ViewScript | undefined;
  readonly sourceDateEpoch?: number;
}

/** Job sheet, wrap templates and cut list as files of the job. */
export async function paperOf({
  solution,
  formats,
  made,
  viewScript,
  ...rest
}: PaperWork): Promise<readonly MadeFile[]> {
  if (formats.length === 0 && !rest.assemblyPng) return [];
  const tools = showsTools(formats) ? made.flatMap(sheetTool) : [];
  // A build of tools alone need not load what draws sheets and pictures.
  const { paperFiles } = await import('../export/sheet-files.ts');
  const script = formats.includes('html') ? viewScript?.() : undefined;
  const files = await paperFiles(solution, { formats, tools, ...rest, ...(script ? { viewScript: script } : {}) });
  return files.map((file) => madeFile({ ...file, parts: [] }));
}

function sheetTool({ request, result }: PaperWork['made'][number]): readonly SheetTool[] {
  const tool = makeTool(request).value;
  if (!tool) return [];
  const png = result.files.find((file) => file.entry.format === 'png')?.bytes;
  const { proofs, joined } = result.tool;
  const picture = png ? { picture: { png, ...PICTURE } } : {};
  return [{ tool, proofs, ...(joined ? { joined } : {}), meshes: result.parts, ...picture }];
}
