import { outlineTable } from '../geometry/outline-table.ts';
import { materialOf, metalVolume, sectionOf } from '../solve/mass.ts';
import type { Piece, Solution } from '../solve/solution.ts';
import type { SheetTable } from './sheet-blocks.ts';
import { lengthText, plain, type Units } from './sheet-figures.ts';

/** Metal of one piece. */
export interface MassRow {
  readonly member: string;
  /** mm^3. */
  readonly metal: number;
  /** kg; absent where the density is not known. */
  readonly mass?: number;
}

/** What the pieces weigh, by material and together. */
export interface MassTotals {
  /** kg of all pieces whose density is known. */
  readonly total: number;
  readonly materials: readonly { readonly material: string; readonly mass: number }[];
  /** Sections whose density is not known: their pieces are not in the total. */
  readonly unknown: readonly string[];
}

const MM3_PER_CM3 = 1000;
const GRAMS_PER_KG = 1000;

/** Each piece by its metal between the cuts; a section without known density is named, its pieces left out of the sum. */
export function massRows(solution: Solution): { readonly rows: readonly MassRow[]; readonly totals: MassTotals } {
  const outlines = new Map(
    [...new Set(solution.pieces.map(({ member }) => member.section))].map((s) => [s, outlineTable(s)]),
  );
  const materials = new Map<string, number>();
  const unknown = new Set<string>();
  const rows = solution.pieces.map((piece: Piece): MassRow => {
    const metal = metalVolume(piece, outlines.get(piece.member.section));
    const section = sectionOf(solution.job, piece.member);
    const { density, name } = materialOf(section);
    if (density === undefined) {
      if (section) unknown.add(section.name);
      return { member: piece.member.name, metal };
    }
    const mass = (metal * density) / MM3_PER_CM3 / GRAMS_PER_KG;
    const material = name ?? section?.material ?? `${density} g/cm3`;
    materials.set(material, (materials.get(material) ?? 0) + mass);
    return { member: piece.member.name, metal, mass };
  });
  const totals = {
    total: rows.reduce((sum, { mass = 0 }) => sum + mass, 0),
    materials: [...materials].map(([material, mass]) => ({ material, mass })),
    unknown: [...unknown],
  };
  return { rows, totals };
}

/** International pound, 1959. */
const KG_PER_LB = 0.45359237;

/** kg, or pounds for a job in inches, to a gram or better. */
export const massFigure = (kg: number, units: Units): number => Number(plain(units === 'mm' ? kg : kg / KG_PER_LB, 4));

/** `2.134 kg`, or pounds for a job in inches. */
export const massText = (kg: number, units: Units): string =>
  units === 'mm' ? `${plain(kg, 3)} kg` : `${plain(kg / KG_PER_LB, 3)} lb`;

/** The note on what is not in the sum. */
export const unknownText = ({ unknown }: MassTotals): string =>
  unknown.length === 0
    ? ''
    : `Not weighed: pieces of ${unknown.join(', ')}; write their material, or density in g/cm3.`;

export const massTable = ({ total, materials }: MassTotals, units: Units): SheetTable => ({
  kind: 'table',
  title: 'Mass as cut, without weld metal',
  heads: [],
  sides: ['left', 'right'],
  rows: [
    ...(materials.length > 1 ? materials.map(({ material, mass }) => [material, massText(mass, units)]) : []),
    ['together', massText(total, units)],
  ],
});

/** How much each piece grows by the rise that the job names, and the whole where all grow alike. */
export function heatTable(
  { heat, job }: Solution,
  { units, size }: { readonly units: Units; readonly size: readonly number[] },
): readonly SheetTable[] {
  const rise = job.heatRise;
  if (rise === undefined || heat.length === 0) return [];
  const rates = new Set(heat.map(({ expansion }) => expansion));
  const [rate] = rates;
  const whole =
    rate !== undefined && rates.size === 1 && heat.length === job.members.length
      ? [['overall, along x, y and z', size.map((x) => lengthText(x * rate * 1e-6 * rise, units)).join(' x ')]]
      : [];
  return [
    {
      kind: 'table',
      title: `Growth with ${plain(rise, 0)} C of heat, free to move`,
      heads: [],
      sides: ['left', 'right'],
      rows: [...heat.map(({ member, growth }) => [member, lengthText(growth, units)]), ...whole],
    },
  ];
}
