import type { PaperFormat } from '../export/sheet-files.ts';

/** What a tool can be written as, in the order files are listed. */
export const TOOL_FORMATS = ['stl', '3mf', 'png'] as const;
export type ToolFormat = (typeof TOOL_FORMATS)[number];

/** What a whole job can be written as: job sheet, wrap templates, flat parts, cut list. */
const PAPER_FORMATS = ['html', 'pdf', 'svg', 'dxf', 'csv', 'json'] as const satisfies readonly PaperFormat[];

export const FORMATS = [...TOOL_FORMATS, ...PAPER_FORMATS] as const;
export type Format = (typeof FORMATS)[number];

export const isToolFormat = (format: Format): format is ToolFormat => TOOL_FORMATS.some((known) => known === format);
export const isPaperFormat = (format: Format): format is PaperFormat => !isToolFormat(format);

/** Formats that every job has a file of, whatever it makes: the sheet, the cut list, the picture of the whole. */
export const isWholeJobFormat = (format: Format): boolean => ['html', 'pdf', 'csv', 'json', 'png'].includes(format);
