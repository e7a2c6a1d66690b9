import { type Section, sectionHeight, sectionWidth } from '../geometry/section.ts';
import type { Mm } from '../geometry/vector.ts';
import type { SectionSpec } from './job.ts';
import { MEASURED_APART } from './limits.ts';
import { pipeOd, pipeWall } from './pipe.ts';
import type { JobPath, Problem } from './problem.ts';
import type { RawSection } from './section-schema.ts';
import { odTolerance } from './tube-standards.ts';
import type { Units } from './units.ts';
import { lengthText } from './wording.ts';

interface Named {
  readonly name: string;
  readonly raw: RawSection;
  readonly units: Units;
  /** As in the file, before gauges and units were read. */
  readonly written: unknown;
}

/** A section as ordered and as measured, with what cannot be made of it. */
export function sectionSpec({ name, raw, units, written }: Named): { spec: SectionSpec; problems: Problem[] } {
  const path: JobPath = ['sections', name];
  const nominal = nominalSection(raw);
  const actual = measuredSection(raw, nominal);
  const spec: SectionSpec = {
    name,
    nominal,
    actual,
    path,
    ...(raw.material === undefined ? {} : { material: raw.material }),
    ...(raw.density === undefined ? {} : { density: raw.density }),
    ...(raw.expansion === undefined ? {} : { expansion: raw.expansion }),
  };
  const problems = shapeProblems(nominal, { name, units, path, given: raw, written });
  if (raw.measured && problems.length === 0) {
    const given = { ...raw.measured };
    problems.push(...shapeProblems(actual, { name, units, path: [...path, 'measured'], given, written }));
    if (problems.length === 0) problems.push(...farApart(raw, { name, units, path }));
    if (problems.length === 0) problems.push(...outOfTolerance(spec, units));
  }
  return { spec, problems };
}

/** A default corner: twice the wall, as drawn tube is commonly made, or what fits. */
const corner = (given: Mm | undefined, wall: Mm, least: Mm): Mm => given ?? Math.min(2 * wall, least / 2);

function nominalSection(raw: RawSection): Section {
  switch (raw.kind) {
    case 'round':
      return { kind: 'round', ...roundSizes(raw) };
    case 'flat-oval':
    case 'ellipse':
      return { kind: raw.kind, width: raw.width, height: raw.height, wall: raw.wall };
    case 'rectangle': {
      const cornerRadius = corner(raw['corner-radius'], raw.wall, Math.min(raw.width, raw.height));
      return { kind: 'rectangle', width: raw.width, height: raw.height, wall: raw.wall, cornerRadius };
    }
    case 'square': {
      const cornerRadius = corner(raw['corner-radius'], raw.wall, raw.side);
      return { kind: 'rectangle', width: raw.side, height: raw.side, wall: raw.wall, cornerRadius };
    }
  }
}

/** A pipe's sizes come from its name; the schema saw that they do. */
function roundSizes({ od, wall, nps, sch }: RawSection & { kind: 'round' }): { readonly od: Mm; readonly wall: Mm } {
  const [across, thick] = [od ?? (nps && pipeOd(nps)), wall ?? (nps && sch && pipeWall(nps, sch))];
  if (typeof across !== 'number' || typeof thick !== 'number')
    throw new Error('internal: a round section without sizes');
  return { od: across, wall: thick };
}

/** The nominal section with the measured sizes put over it. */
function measuredSection(raw: RawSection, nominal: Section): Section {
  const { measured } = raw;
  if (!measured) return nominal;
  const wall = measured.wall ?? nominal.wall;
  if (nominal.kind === 'round')
    return { ...nominal, wall, od: raw.kind === 'round' ? (raw.measured?.od ?? nominal.od) : nominal.od };
  const sizes = raw.kind === 'round' ? undefined : raw.measured;
  const side = raw.kind === 'square' ? raw.measured?.side : undefined;
  const width = sizes?.width ?? side ?? nominal.width;
  const height = sizes?.height ?? side ?? nominal.height;
  if (nominal.kind !== 'rectangle') return { ...nominal, width, height, wall };
  const radius = raw.kind === 'rectangle' || raw.kind === 'square' ? raw.measured?.['corner-radius'] : undefined;
  const cornerRadius = radius ?? Math.min(nominal.cornerRadius, Math.min(width, height) / 2);
  return { ...nominal, width, height, wall, cornerRadius };
}

interface Shaped {
  readonly name: string;
  readonly units: Units;
  readonly path: JobPath;
  readonly given: object;
  readonly written: unknown;
}

/** Wall and corners that the outside leaves no room for. */
function shapeProblems(s: Section, { name, units, path, given, written }: Shaped): Problem[] {
  const problems: Problem[] = [];
  const tell = (mm: Mm): string => lengthText(mm, units);
  const least = Math.min(sectionWidth(s), sectionHeight(s));
  const at = (field: string): JobPath => (Object.hasOwn(given, field) ? [...path, field] : path);
  const room = wallRoom(s);
  if (!(s.wall < room)) {
    const why =
      s.kind === 'ellipse'
        ? `the tightest curve of the ellipse has radius ${tell(room)}`
        : `${tell(least)} across leaves less than ${tell(room)}`;
    const bare = typeof written === 'object' && written !== null ? Reflect.get(written, 'wall') : undefined;
    const gauge = typeof bare === 'number' && Number.isInteger(bare) && bare >= 7 && bare <= 30;
    problems.push({
      code: 'section/wall',
      severity: 'error',
      path: at('wall'),
      message: `wall of ${name} is ${tell(s.wall)}; ${why}`,
      hint: gauge
        ? `a bare number is ${units}; for the gauge write ${bare}bwg`
        : 'write a thinner wall, or a larger section',
      measured: s.wall,
      limit: room,
    });
  }
  if (s.kind === 'rectangle' && s.cornerRadius > least / 2) {
    problems.push({
      code: 'section/shape',
      severity: 'error',
      path: at('corner-radius'),
      message: `corner-radius of ${name} is ${tell(s.cornerRadius)}; the shorter side takes at most half of itself, ${tell(least / 2)}`,
      hint: 'write a smaller corner-radius; where the short sides are half circles, use kind: flat-oval',
      measured: s.cornerRadius,
      limit: least / 2,
    });
  }
  return problems;
}

/** The wall must stay below this: half the tube, and for an ellipse its least radius of curvature b^2/a, where the bore would fold. */
function wallRoom(s: Section): Mm {
  const [b, a] = [Math.min(sectionWidth(s), sectionHeight(s)) / 2, Math.max(sectionWidth(s), sectionHeight(s)) / 2];
  return s.kind === 'ellipse' ? (b * b) / a : b;
}

function farApart(raw: RawSection, { name, units, path }: { name: string; units: Units; path: JobPath }): Problem[] {
  const nominal: Readonly<Record<string, unknown>> = {
    ...(raw.kind === 'square' ? { width: raw.side, height: raw.side } : {}),
    ...raw,
    ...(raw.kind === 'round' ? roundSizes(raw) : {}),
  };
  return Object.entries(raw.measured ?? {}).flatMap(([field, size]): Problem[] => {
    const wanted = nominal[field];
    if (typeof size !== 'number' || typeof wanted !== 'number' || field === 'corner-radius') return [];
    const apart = Math.abs(size - wanted) / wanted;
    if (apart <= MEASURED_APART) return [];
    return [
      {
        code: 'section/measured',
        severity: 'warning',
        path: [...path, 'measured', field],
        message: `measured ${field} of ${name} is ${lengthText(size, units)}, ${Math.round(apart * 100)}% off the nominal ${lengthText(wanted, units)}`,
        hint: 'tools follow the measured size; measure again if this is a surprise',
        measured: size,
        limit: wanted,
      },
    ];
  });
}

/** A measured od that the standards for such tube do not allow: the wrong bundle, or a slip of the calipers. */
function outOfTolerance({ name, nominal, actual, material, path }: SectionSpec, units: Units): Problem[] {
  if (nominal.kind !== 'round' || actual.kind !== 'round') return [];
  const off = Math.abs(actual.od - nominal.od);
  const allowed = odTolerance(nominal.od, { wall: nominal.wall, material });
  if (!allowed || off <= allowed.tolerance + TOLERANCE_ROUNDING) return [];
  return [
    {
      code: 'section/measured',
      severity: 'warning',
      path: [...path, 'measured', 'od'],
      message: `measured od of ${name} is ${lengthText(off, units)} off the nominal ${lengthText(nominal.od, units)}; ${allowed.standard} allows ${lengthText(allowed.tolerance, units)}`,
      hint: 'measure in two directions and away from the end; tools follow the measured size',
      measured: off,
      limit: allowed.tolerance,
    },
  ];
}

/** mm. Sizes given to a hundredth stand on the limit itself. */
const TOLERANCE_ROUNDING: Mm = 1e-6;
