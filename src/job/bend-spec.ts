import { cosd, sind } from '../geometry/angle.ts';
import type { NominalBend } from '../geometry/centerline.ts';
import { reachToward, type Section } from '../geometry/section.ts';
import type { Deg, Mm } from '../geometry/vector.ts';
import type { Clr } from './fields.ts';
import type { BendItem } from './job.ts';
import { BEND_APART, MEASURED_APART } from './limits.ts';
import type { RawRunItem } from './member-schema.ts';
import type { JobPath, Problem } from './problem.ts';
import type { Units } from './units.ts';
import { angleText, lengthText } from './wording.ts';

type RawBend = NonNullable<RawRunItem['bend']>;
/** A bend, or an elbow, which is welded and not measured as bent. */
type RawTurn = Omit<RawBend, 'measured'> & { readonly measured?: RawBend['measured'] };

export interface BendPlace {
  readonly section: Section | undefined;
  /** Undefined where it is to solve. */
  readonly side: Deg | undefined;
  readonly name: string;
  readonly units: Units;
  readonly kind: 'bend' | 'elbow';
  readonly path: JobPath;
}

/** Side the plane of a bend lies on, degrees clockwise from up; `before` is that of the bend before. */
export function bendSide(raw: RawTurn, before: Deg | undefined): Deg | undefined {
  const side = raw.toward ?? raw['plane-of-bend'] ?? 0;
  if (typeof side !== 'number') return undefined;
  return raw.toward === undefined ? before && before + side : side;
}

/** A bend as bent: what was measured stands over what was asked for. */
export function bendSpec(raw: RawTurn, place: BendPlace): { item: BendItem; problems: Problem[] } {
  const { section, side, path } = place;
  const toward =
    raw.toward === undefined
      ? ({ kind: 'plane-of-bend', deg: raw['plane-of-bend'] ?? 0 } as const)
      : ({ kind: 'toward', deg: raw.toward } as const);
  const clr = clrLength(raw.clr, section && acrossSection(section, side ?? 0));
  const { measured } = raw;
  const nominal = typeof raw.angle === 'number' && measured ? { nominal: { clr, bendAngleDeg: raw.angle } } : {};
  const item: BendItem = {
    kind: 'bend',
    clr: measured?.clr ?? clr,
    bendAngleDeg: measured?.angle ?? raw.angle,
    toward,
    ...nominal,
    path,
  };
  const ratio = ratioProblems(raw, place);
  if (ratio.length > 0) return { item, problems: ratio };
  const from = measured?.clr === undefined ? ['clr'] : ['measured', 'clr'];
  const tight = tightProblems(item.clr, { ...place, path: [...path, ...from] });
  return { item, problems: tight.length > 0 ? tight : measuredProblems(raw, { ...place, clr }) };
}

/** A multiple of D of a tube that is not round needs to know which way it bends. */
function ratioProblems(raw: RawTurn, { section, side, name, path }: BendPlace): Problem[] {
  if (side !== undefined || raw.clr.kind === 'length' || !section || section.kind === 'round') return [];
  return [
    {
      code: 'unit/ambiguous',
      severity: 'error',
      path: [...path, 'clr'],
      message: `clr of ${name} is a multiple of D, the section is not round, and which way it bends is to solve`,
      hint: 'write clr as a length',
    },
  ];
}

function measuredProblems(raw: RawTurn, { name, units, path, clr }: BendPlace & { readonly clr: Mm }): Problem[] {
  const { measured, angle } = raw;
  if (!measured) return [];
  if (typeof angle !== 'number') {
    if (measured.angle === undefined) return [];
    return [
      {
        code: 'field/conflict',
        severity: 'error',
        path: [...path, 'measured', 'angle'],
        message: `a bend of ${name} is measured, ${angleText(measured.angle)}, and its angle is still to solve`,
        hint: 'write the angle that was asked of the bender in place of solve, and solve another number around it',
      },
    ];
  }
  return [
    ...measuredWarnings(measured, {
      nominal: { clr, bendAngleDeg: angle },
      name: `a bend of ${name}`,
      units,
      path: [...path, 'measured'],
    }),
  ];
}

/** A measured bend so far from what was asked for that it is more likely a slip of the pen. */
export function measuredWarnings(
  measured: { readonly clr?: Mm | undefined; readonly angle?: Deg | undefined },
  bend: { readonly nominal: NominalBend; readonly name: string; readonly units: Units; readonly path: JobPath },
): readonly Problem[] {
  const { nominal, name, units, path } = bend;
  const warning = (
    field: 'clr' | 'angle',
    values: { is: number; was: number; tell: (x: number) => string },
  ): Problem => ({
    code: 'bend/measured',
    severity: 'warning',
    path: [...path, field],
    message: `${name} measures ${field} ${values.tell(values.is)}, far from the nominal ${values.tell(values.was)}`,
    hint: 'the layout follows the measured bend; measure again if this is a surprise',
    measured: values.is,
    limit: values.was,
  });
  return [
    ...(measured.clr !== undefined && Math.abs(measured.clr - nominal.clr) > MEASURED_APART * nominal.clr
      ? [warning('clr', { is: measured.clr, was: nominal.clr, tell: (x) => lengthText(x, units) })]
      : []),
    ...(measured.angle !== undefined && Math.abs(measured.angle - nominal.bendAngleDeg) > BEND_APART
      ? [warning('angle', { is: measured.angle, was: nominal.bendAngleDeg, tell: angleText })]
      : []),
  ];
}

/** clr as a length; a multiple of OD counts the size of the section in the plane of the bend. */
export const clrLength = (clr: Clr, across: Mm | undefined): Mm =>
  clr.kind === 'length' ? clr.length : clr.bendRatio * (across ?? 0);

/** Outside size of the section in a direction through its axis: OD, or between the two lines square to it that touch. */
export function acrossSection(s: Section, side: Deg): Mm {
  if (s.kind === 'round') return s.od;
  return 2 * reachToward(s, [sind(side), cosd(side)]);
}

/** Where the side is to solve, only what folds whichever way it turns. */
function tightProblems(clr: Mm, { section, side, ...rest }: BendPlace): Problem[] {
  if (!section) return [];
  const sides = side === undefined ? [0, 90] : [side];
  const half = Math.min(...sides.map((deg) => acrossSection(section, deg))) / 2;
  // Half the tube leaves a bend its inside, if only a point; the gores of an elbow need a throat.
  if (clr > half || (clr === half && rest.kind === 'bend')) return [];
  return [tightProblem({ clr, half, ...rest })];
}

interface Tight extends Omit<BendPlace, 'section' | 'side'> {
  readonly clr: Mm;
  readonly half: Mm;
}

/** clr below half the tube: the inside of a bend folds, the gores of an elbow have no throat. */
export function tightProblem({ clr, half, name, units, kind, path }: Tight): Problem {
  const bend = kind === 'bend';
  return {
    code: bend ? 'bend/tighter-than-tube' : 'elbow/no-throat',
    severity: 'error',
    path,
    message: `clr of ${name} is ${lengthText(clr, units)}; half the tube is ${lengthText(half, units)}, so ${bend ? 'the inside of the bend folds' : 'the gores of the elbow have no throat'}`,
    hint: `clr is measured to the centerline: write ${bend ? 'at least' : 'more than'} ${lengthText(half, units)}`,
    measured: clr,
    limit: half,
  };
}
