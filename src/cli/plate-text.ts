import type { PlateRow } from '../export/plate-rows.ts';
import { angleFigure, lengthFigure, lengthText, type Units } from '../export/sheet-figures.ts';
import { columns } from './columns.ts';

/** A flat part for reading: its box, and its holes from the lower left corner. */
export function plateLines(row: PlateRow, units: Units): readonly string[] {
  const { plate, kind, thickness, width, height, holes } = row;
  const head = `${plate}: ${kind} plate, ${lengthText(thickness, units)}${row.material === undefined ? '' : ` ${row.material}`}`;
  const box = `  box ${lengthText(width, units)} x ${lengthText(height, units)}`;
  if (holes.length === 0) return [head, box];
  const rows = holes.map((hole) => [
    hole.for,
    lengthFigure(hole.x, units),
    lengthFigure(hole.y, units),
    `${lengthFigure(hole.width, units)} x ${lengthFigure(hole.height, units)}`,
    angleFigure(hole.leanDeg),
  ]);
  return [
    head,
    box,
    ...columns({
      heads: ['hole for', 'x', 'y', 'size', 'lean'],
      sides: ['left', 'right', 'right', 'right', 'right'],
      rows,
    }),
  ];
}
