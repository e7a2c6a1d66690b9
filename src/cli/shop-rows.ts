import { type Origin, originOf } from '../job/given.ts';
import type { Shop } from '../job/job.ts';
import type { JobSource } from '../job/locate.ts';
import type { JobPath } from '../job/problem.ts';

/** One setting of the shop, as the file names it, and where its value came from. */
export interface ShopRow {
  readonly field: string;
  readonly value: number | string | boolean | readonly number[];
  /** Lengths are mm. */
  readonly unit?: 'mm';
  readonly from: Origin;
}

/** Every value of the shop, defaults too: what a person checks before the first print. */
export function shopRows(shop: Shop, source: JobSource): readonly ShopRow[] {
  const row = (path: JobPath, value: ShopRow['value'], unit?: 'mm'): ShopRow => ({
    field: path.slice(1).join('.'),
    value,
    ...(unit ? { unit } : {}),
    from: originOf(source, path),
  });
  const { printer, fit, strap } = shop;
  const saws = shop.saws.flatMap((saw) => {
    const at = (key: string): JobPath => ['shop', 'saws', saw.name, key];
    return [
      row(at('kind'), saw.kind),
      row(at('kerf'), saw.kerf, 'mm'),
      row(at('blade'), saw.blade, 'mm'),
      row(at('clearance'), saw.clearance, 'mm'),
    ];
  });
  return [
    row(['shop', 'printer', 'bed'], printer.bed, 'mm'),
    row(['shop', 'printer', 'nozzle'], printer.nozzle, 'mm'),
    row(['shop', 'printer', 'layer'], printer.layer, 'mm'),
    row(['shop', 'printer', 'material'], printer.material),
    row(['shop', 'fit', 'slide'], fit.slide, 'mm'),
    row(['shop', 'wall'], shop.wall, 'mm'),
    row(['shop', 'strap', 'width'], strap.width, 'mm'),
    row(['shop', 'strap', 'thickness'], strap.thickness, 'mm'),
    row(['shop', 'labels'], shop.labels),
    row(['shop', 'chord-tolerance'], shop.chordTolerance, 'mm'),
    ...saws,
    row(['shop', 'saw'], shop.saw),
    ...Object.entries(shop.bender ?? {}).map(([key, value]) => {
      const given = originOf(source, ['shop', 'bender', key]) !== 'default';
      // The straight that the file gives for all three.
      return { ...row(['shop', 'bender', given ? key : 'grip'], value, 'mm'), field: `bender.${key}` };
    }),
  ];
}
