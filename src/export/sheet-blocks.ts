import type { Mm } from '../geometry/vector.ts';
import type { Mark } from './sheet-paper.ts';

/** The job sheet as its readers see it, before it is set on a page or on paper. */
export interface JobSheet {
  readonly title: string;
  /** On every sheet of paper. */
  readonly footer: string;
  readonly sections: readonly SheetSection[];
}

/** Parts of a section stay together on paper where a sheet holds them. */
export interface SheetSection {
  readonly heading: string;
  readonly level: 1 | 2 | 3;
  readonly blocks: readonly SheetBlock[];
  /** Begins a new sheet of paper. */
  readonly newSheet?: true;
}

export type SheetBlock =
  | { readonly kind: 'text'; readonly text: string }
  | { readonly kind: 'list'; readonly items: readonly string[]; readonly numbered?: true }
  | SheetTable
  | SheetDrawing
  /** Side by side where the page is wide enough. */
  | { readonly kind: 'beside'; readonly blocks: readonly (SheetTable | SheetDrawing)[] };

export interface SheetTable {
  readonly kind: 'table';
  readonly title?: string;
  /** Empty where the rows explain themselves. */
  readonly heads: readonly string[];
  /** Figures stand at the right. */
  readonly sides: readonly ('left' | 'right')[];
  readonly rows: readonly (readonly string[])[];
}

export interface SheetDrawing {
  readonly kind: 'drawing';
  /** For those who cannot see it. */
  readonly description: string;
  readonly width: Mm;
  readonly height: Mm;
  readonly marks: readonly Mark[];
}
