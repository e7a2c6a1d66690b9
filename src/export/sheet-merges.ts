import type { MergeRow } from './cut-table.ts';
import { lengthText, plain, type Units } from './sheet-figures.ts';
import type { SheetPart } from './sheet-source.ts';

/** An area in the square of the job's unit. */
export const areaText = (mm2: number, units: Units): string =>
  units === 'mm' ? `${plain(mm2, 1)} mm^2` : `${plain(mm2 / 25.4 ** 2, 3)} in^2`;

/** What a merge leaves open, as rows of words and areas; none where the legs cover the start of the trunk. */
function openRows(merge: MergeRow, units: Units): readonly (readonly [string, string])[] {
  if (merge.openArea <= 0) return [['left open at the start of the trunk', areaText(0, units)]];
  const { shift, area } = merge.bestShift;
  const better = area < merge.openArea - 0.05;
  return [
    ['left open at the start of the trunk, its wall included', areaText(merge.openArea, units)],
    better
      ? [
          `least open: the trunk started ${lengthText(Math.abs(shift), units)} ${shift > 0 ? 'later' : 'earlier'}`,
          areaText(area, units),
        ]
      : ['least open: the start as drawn', areaText(merge.openArea, units)],
  ];
}

/** The rows of a merge: what flows in, what flows out, what is left open. */
export const mergeRows = (merge: MergeRow, units: Units): readonly (readonly [string, string])[] => [
  ['bores of the legs together', areaText(merge.legArea, units)],
  ['bore of the trunk', areaText(merge.trunkArea, units)],
  ['trunk over legs', plain(merge.ratio, 3)],
  ...openRows(merge, units),
];

/** Where several members run into one: what flows in, what flows out, what is left open. */
export const mergesPart: SheetPart = ({ table, units }) =>
  table.merges.map((merge) => ({
    heading: `Merge into ${merge.trunk}`,
    level: 3,
    blocks: [
      { kind: 'text', text: `${merge.joint}: ${merge.legs.join(', ')} into ${merge.trunk}` },
      { kind: 'table', title: 'Flow areas', heads: [], sides: ['left', 'right'], rows: mergeRows(merge, units) },
    ],
  }));
