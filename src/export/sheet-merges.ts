import { lengthText, plain } from './sheet-figures.ts';
import type { SheetPart } from './sheet-source.ts';

/** Where several members run into one: what flows in, what flows out, what is left open. */
export const mergesPart: SheetPart = ({ table, units }) => {
  const area = (mm2: number): string =>
    units === 'mm' ? `${plain(mm2, 1)} mm^2` : `${plain(mm2 / 25.4 ** 2, 3)} in^2`;
  return table.merges.map((merge) => ({
    heading: `Merge into ${merge.trunk}`,
    level: 3,
    blocks: [
      { kind: 'text', text: `${merge.joint}: ${merge.legs.join(', ')} into ${merge.trunk}` },
      {
        kind: 'table',
        title: 'Flow areas',
        heads: [],
        sides: ['left', 'right'],
        rows: [
          ['bores of the legs together', area(merge.legArea)],
          ['bore of the trunk', area(merge.trunkArea)],
          ['trunk over legs', plain(merge.ratio, 3)],
          ['left open at the start of the trunk', area(merge.openArea)],
          ...(merge.openArea > 0
            ? [
                [
                  'least open, with the start of the trunk moved along its heading',
                  `${area(merge.bestShift.area)} at ${lengthText(merge.bestShift.shift, units)}`,
                ],
              ]
            : []),
        ],
      },
    ],
  }));
};
