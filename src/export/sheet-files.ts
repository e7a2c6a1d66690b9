import type { Problem } from '../job/problem.ts';
import { liesFlat } from '../solve/opening-places.ts';
import type { CutEnd, Solution } from '../solve/solution.ts';
import { assemblyPicture } from './assembly-picture.ts';
import { assemblyPng } from './assembly-png.ts';
import { cutListCsv } from './csv-cut-list.ts';
import { cutTable } from './cut-table.ts';
import { flatDrawings } from './flat-drawing.ts';
import { flatSvg } from './flat-svg.ts';
import { openingPattern } from './opening-template.ts';
import type { PdfInfo } from './pdf.ts';
import { jobSheet } from './sheet-content.ts';
import { cutListJson } from './sheet-cut-list.ts';
import { jobSheetHtml } from './sheet-html.ts';
import { jobSheetPages } from './sheet-pages.ts';
import type { Page, PaperName } from './sheet-paper.ts';
import type { SheetTool } from './sheet-source.ts';
import { type ViewScript, viewData } from './sheet-view.ts';
import { type PaperPattern, patternPages, patternSheet, wrapPattern } from './template-pages.ts';
import { svgText } from './template-svg.ts';
import { viewText } from './view-data.ts';
import { canWrap } from './wrap-taper.ts';
import { wrapTemplate } from './wrap-template.ts';

/** What is read or laid on the tube, not printed as a solid; in the order files are listed. */
export const PAPER_FORMATS = ['html', 'pdf', 'svg', 'dxf', 'csv', 'json'] as const;
export type PaperFormat = (typeof PAPER_FORMATS)[number];

export interface PaperFile {
  readonly name: string;
  readonly format: PaperFormat | 'png';
  readonly bytes: Uint8Array;
}

export interface PaperRequest {
  readonly formats: readonly PaperFormat[];
  /** Also the assembly as a picture of its own. */
  readonly assemblyPng?: boolean;
  readonly tools: readonly SheetTool[];
  readonly warnings?: readonly Problem[];
  readonly madeBy: string;
  readonly sourceDateEpoch?: number;
  /** Puts a view that can be turned into the page. */
  readonly viewScript?: ViewScript;
  /** A4 for a job in mm, Letter for one in inches, unless asked for. */
  readonly paper?: PaperName;
}

/**
 * Job sheet (HTML, PDF), wrap template of every cut end (PDF in tiles, SVG in one), flat parts and openings (DXF, SVG), assembly (PNG)
 * and cut list (CSV, JSON) of a solved job, as bytes. Same solution, same bytes.
 */
export async function paperFiles(solution: Solution, request: PaperRequest): Promise<readonly PaperFile[]> {
  const { formats, madeBy } = request;
  const { name, units } = solution.job;
  const paper = request.paper ?? (units === 'mm' ? 'a4' : 'letter');
  const asked = (format: PaperFormat): boolean => formats.includes(format);
  const drawn = asked('html') || asked('pdf') || request.assemblyPng;
  const assembly = drawn ? assemblyPicture(solution) : undefined;
  const sheet =
    asked('html') || asked('pdf') ? jobSheet(solution, { ...request, ...(assembly ? { assembly } : {}) }) : undefined;
  const patterns = asked('pdf') || asked('svg') ? patternsOf(solution) : [];
  const table = cutTable(solution);
  const files: PaperFile[] = [];
  const put = (file: string, format: PaperFile['format'], bytes: Uint8Array | string): void => {
    files.push({ name: `${file}.${format}`, format, bytes: typeof bytes === 'string' ? utf8(bytes) : bytes });
  };
  if (sheet && asked('html')) {
    const { viewScript: script, tools } = request;
    const view = script ? { script, data: viewText(viewData(solution, tools)) } : undefined;
    put(`${name}-sheet`, 'html', jobSheetHtml(sheet, view));
  }
  if (sheet && asked('pdf')) {
    const toPdf = await pdfWriter(request);
    put(`${name}-sheet`, 'pdf', toPdf(jobSheetPages(sheet, paper), sheet.title));
    for (const { file, title, pattern } of patterns) put(file, 'pdf', toPdf(patternPages(pattern, paper), title));
  }
  if (asked('svg')) {
    for (const { file, title, pattern } of patterns) put(file, 'svg', svgText(patternSheet(pattern), title));
  }
  if (assembly && request.assemblyPng) {
    const names = solution.pieces.map(({ member }) => member.name);
    put(`${name}-assembly`, 'png', assemblyPng(assembly, { names, units }));
  }
  const flats = asked('svg') || asked('dxf') ? flatDrawings(solution) : [];
  if (asked('svg')) for (const flat of flats) put(flat.name, 'svg', flatSvg(flat, `${name} ${flat.name}, 1:1`));
  if (asked('dxf') && flats.length > 0) {
    const { flatDxf } = await import('./flat-dxf.ts');
    for (const flat of flats) put(flat.name, 'dxf', flatDxf(flat));
  }
  if (asked('csv')) put(`${name}-cut-list`, 'csv', cutListCsv(table));
  if (asked('json')) put(`${name}-cut-list`, 'json', cutListJson(table, { madeBy }));
  return files;
}

interface NamedPattern {
  readonly file: string;
  readonly title: string;
  readonly pattern: PaperPattern;
}

/** Patterns of every cut end and of every hole. */
function patternsOf(solution: Solution): readonly NamedPattern[] {
  const { name } = solution.job;
  return [
    ...solution.ends.filter(canWrap).map((end) => ({
      file: wrapName(end),
      title: `${name} ${end.id}, wrap template 1:1`,
      pattern: wrapPattern(wrapTemplate(end, { solution })),
    })),
    ...solution.openings
      .filter(({ run, outside }) => liesFlat(run, outside))
      .map((opening) => ({
        file: `${opening.name}-opening-wrap`,
        title: `${name} ${opening.name}, wrap template of the opening 1:1`,
        pattern: openingPattern(opening, solution),
      })),
  ];
}

const wrapName = ({ member, end }: CutEnd): string => `${member.name}-${end}-wrap`;

const utf8 = (text: string): Uint8Array => new TextEncoder().encode(text);

/** The PDF library takes longer to load than most jobs take to build, so it is loaded where it is used. */
async function pdfWriter({
  madeBy,
  sourceDateEpoch,
}: PaperRequest): Promise<(pages: readonly Page[], title: string) => Uint8Array> {
  const { pdfBytes } = await import('./pdf.ts');
  return (pages, title) => {
    const info: PdfInfo = { title, madeBy, ...(sourceDateEpoch === undefined ? {} : { sourceDateEpoch }) };
    return pdfBytes(pages, info);
  };
}
