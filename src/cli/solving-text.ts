import type { SolvedRow, SolvingRow } from '../export/cut-table.ts';
import { angleFigure, lengthText, type Units } from '../export/sheet-figures.ts';

/** How the solved values were come by, in sentences; none where the only answer was taken and nothing was tried. */
export function solvingTexts({ by, others, tried, wanted }: SolvingRow, units: Units): readonly string[] {
  const more = others.length === 1 ? '1 other answer meets' : `${others.length} other answers meet`;
  const taken = by === 'near' ? `taken as the nearest to what is wanted` : 'taken because it has the least bend in all';
  return [
    ...(wanted.length > 0 ? [`wanted: ${wanted.join('; ')}`] : []),
    ...(others.length > 0
      ? [`${taken}; ${more} the goals:`, ...others.map((other) => `- ${otherText(other, units)}`)]
      : []),
    ...tried.map(({ choice, why }) => `does not do: ${choice}: ${why}`),
  ];
}

const otherText = ({ solved, developedLength }: SolvingRow['others'][number], units: Units): string =>
  `${solved.map((row) => `${row.what} ${solvedText(row, units)}`).join(', ')} (${lengthText(developedLength, units)} of tube)`;

export const solvedText = ({ value, unit }: SolvedRow, units: Units): string =>
  unit === 'mm' ? lengthText(value, units) : `${angleFigure(value)} deg`;
