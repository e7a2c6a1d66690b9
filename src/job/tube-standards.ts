import type { Mm } from '../geometry/vector.ts';
import { materialNamed } from './material.ts';

/** How far the outside of a round tube may lie from its nominal size, either way. */
export interface OdTolerance {
  readonly standard: string;
  readonly tolerance: Mm;
}

interface Row {
  /** Over this and up to that, in inches. */
  readonly od: readonly [number, number];
  /** Thickest wall in inches and tolerance for it, thinnest first. */
  readonly walls: readonly (readonly [number, number])[];
}

const ANY_WALL = Number.POSITIVE_INFINITY;

/** ASTM A554, stainless mechanical tube, as welded; A269, stainless; A513 type 1, carbon steel, as welded. Inches. */
const STANDARDS: readonly { readonly name: string; readonly family: string; readonly rows: readonly Row[] }[] = [
  {
    name: 'ASTM A554',
    family: 'stainless',
    rows: [
      { od: [1, 1.5], walls: [[0.065, 0.008]] },
      {
        od: [1.5, 2],
        walls: [
          [0.049, 0.01],
          [0.083, 0.011],
          [0.149, 0.012],
        ],
      },
      {
        od: [2, 2.5],
        walls: [
          [0.049, 0.012],
          [0.083, 0.013],
          [0.149, 0.014],
        ],
      },
      { od: [2.5, 3.5], walls: [[ANY_WALL, 0.014]] },
    ],
  },
  {
    name: 'ASTM A269',
    family: 'stainless',
    rows: [
      { od: [0.5, 1.5], walls: [[ANY_WALL, 0.005]] },
      { od: [1.5, 3.5], walls: [[ANY_WALL, 0.01]] },
      { od: [3.5, 5.5], walls: [[ANY_WALL, 0.015]] },
    ],
  },
  {
    name: 'ASTM A513 type 1',
    family: 'carbon',
    rows: [
      { od: [1.125, 2], walls: [[ANY_WALL, 0.005]] },
      { od: [2, 2.5], walls: [[ANY_WALL, 0.006]] },
      { od: [2.5, 3], walls: [[ANY_WALL, 0.008]] },
    ],
  },
];

const MM_PER_INCH = 25.4;
/** Inches. Sizes written in mm meet the limits of a row within this. */
const ROUNDING = 1e-4;

/**
 * The widest tolerance that a standard for the material allows a round tube of the size; of all three where the material
 * is not known, and none where no row holds the size.
 */
export function odTolerance(
  od: Mm,
  { wall, material }: { readonly wall: Mm; readonly material: string | undefined },
): OdTolerance | undefined {
  const family = material === undefined ? undefined : materialNamed(material)?.family;
  const [d, t] = [od / MM_PER_INCH, wall / MM_PER_INCH];
  const allowed = STANDARDS.filter((standard) => family === undefined || standard.family === family).flatMap(
    ({ name, rows }): readonly OdTolerance[] => {
      const row = rows.find(
        ({ od: [over, to] }, i) => (i === 0 ? d > over - ROUNDING : d > over + ROUNDING) && d < to + ROUNDING,
      );
      const found = row?.walls.find(([most]) => t < most + ROUNDING);
      return found ? [{ standard: name, tolerance: found[1] * MM_PER_INCH }] : [];
    },
  );
  return allowed.reduce<OdTolerance | undefined>((p, q) => (p && p.tolerance >= q.tolerance ? p : q), undefined);
}
