import { areaInside, perimeter, type Section } from './section.ts';
import type { Mm } from './vector.ts';

/** What a duct of a section carries, by its bore. */
export interface FlowSection {
  /** mm^2. */
  readonly area: number;
  readonly perimeter: Mm;
  /** 4 area / perimeter. */
  readonly hydraulicDiameter: Mm;
  /** Round duct of the same friction at the same flow, where a rule for the shape is published. */
  readonly equivalentDiameter?: Mm;
}

/** Flow figures of the bore: 100 x 50 inside, flat-oval, gives 4463.50 mm^2, 257.08, 69.449 and 73.937 mm. */
export function flowSection(section: Section): FlowSection {
  const area = areaInside(section, section.wall);
  const round = borePerimeter(section);
  const equivalent = equivalentDiameter(section, area, round);
  return {
    area,
    perimeter: round,
    hydraulicDiameter: (4 * area) / round,
    ...(equivalent === undefined ? {} : { equivalentDiameter: equivalent }),
  };
}

/** A parallel curve is shorter by 2 pi of its depth; inside a corner tighter than the wall it is sharp. */
function borePerimeter(section: Section): Mm {
  const { wall } = section;
  if (section.kind === 'rectangle' && section.cornerRadius < wall)
    return 2 * (section.width + section.height) - 8 * wall;
  return perimeter(section) - 2 * Math.PI * wall;
}

/**
 * Flat oval: 1.55 A^0.625 / P^0.25 (Heyt & Diaz, "Pressure drop in flat-oval spiral air duct", ASHRAE Transactions 81(2), 1975).
 * Rectangle: 1.30 (a b)^0.625 / (a + b)^0.25 (R. G. Huebscher, ASHVE Transactions 54, 1948).
 */
function equivalentDiameter(section: Section, area: number, round: Mm): Mm | undefined {
  if (section.kind === 'round') return section.od - 2 * section.wall;
  if (section.kind === 'flat-oval') return (1.55 * area ** 0.625) / round ** 0.25;
  if (section.kind !== 'rectangle') return undefined;
  const [a, b] = [section.width - 2 * section.wall, section.height - 2 * section.wall];
  return (1.3 * (a * b) ** 0.625) / (a + b) ** 0.25;
}
