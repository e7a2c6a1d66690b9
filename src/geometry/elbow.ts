import { cosd, sind, tand } from './angle.ts';
import { type BendSegment, type Centerline, centerlineFrom, type RunStep, sideOf, stepOf } from './centerline.ts';
import { type Frame, rotateFrame } from './frame.ts';
import { outlineToward } from './outline-toward.ts';
import { outlineAt, type Section } from './section.ts';
import { cross, type Deg, type Mm } from './vector.ts';

/** A segmented elbow as numbers. The miter at every weld is half the turn there, measured from a square cut. */
export interface ElbowShape {
  readonly clr: Mm;
  readonly bendAngleDeg: Deg;
  readonly welds: number;
  readonly gap: Mm;
}

/** Miter of every cut of an elbow: the turn over twice the welds. 90 degrees with 4 welds: 11.25. */
export const elbowMiterDeg = ({ bendAngleDeg, welds }: ElbowShape): Deg => bendAngleDeg / (2 * welds);

/**
 * Length of a middle piece between its two cuts on the line that lies `out` mm from the axis away from the center
 * (negative toward it): 2 (clr + out) tan(miter), less what the weld gaps take. An end piece has half of it.
 * Fabricators' formula; clr 2000, radius 250, miter 10 degrees: heel 793.47, throat 617.14.
 */
export function middlePieceLength(elbow: ElbowShape, out: Mm): Mm {
  const miter = elbowMiterDeg(elbow);
  return 2 * (elbow.clr + out) * tand(miter) - elbow.gap / cosd(miter);
}

/** How far the tube's outside at u lies from the axis, away from the center of a turn to `towardDeg`. */
export function outOf(section: Section, towardDeg: Deg, u: number): Mm {
  const [a, b] = outlineAt(section, u % 1).point;
  return -(a * sind(towardDeg) + b * cosd(towardDeg));
}

/** u of the heel, the outside line of the turn. */
export const heelOf = (section: Section, towardDeg: Deg): number => outlineToward(section, towardDeg + 180);

export interface WeldedUp {
  readonly pieces: readonly Centerline[];
  /** Each elbow with the number of the piece that it begins on, from 0. */
  readonly elbows: readonly { readonly segment: BendSegment; readonly first: number }[];
}

/**
 * A centerline parted at the welds of its elbows. A turn becomes straight pieces that touch its arc in their middles; the
 * end pieces, half as long, are one with the straights before and behind. A centerline without elbow stays in one piece.
 */
export function weldedUp(line: Centerline): WeldedUp {
  const pieces: Centerline[] = [];
  const elbows: { segment: BendSegment; first: number }[] = [];
  let start: Frame = line.segments[0]?.start ?? line.end;
  let steps: RunStep[] = [];
  const close = (): Frame => {
    const piece = centerlineFrom(start, joinedStraights(steps));
    pieces.push(piece);
    steps = [];
    return piece.end;
  };
  for (const segment of line.segments) {
    if (segment.kind !== 'bend' || !segment.elbow) {
      steps.push(stepOf(segment));
      continue;
    }
    const { welds } = segment.elbow;
    const miter = segment.bendAngleDeg / (2 * welds);
    const half = segment.clr * tand(miter);
    elbows.push({ segment, first: pieces.length });
    for (let weld = 0; weld < welds; weld++) {
      steps.push({ kind: 'straight', length: weld === 0 ? half : 2 * half });
      const at = close();
      const axis = cross(at.heading, sideOf(at, segment.towardDeg));
      start = rotateFrame(at, { point: at.origin, axis, deg: 2 * miter });
    }
    steps.push({ kind: 'straight', length: half });
  }
  close();
  return { pieces, elbows };
}

/** Straights that follow one another are one. */
function joinedStraights(steps: readonly RunStep[]): readonly RunStep[] {
  const joined: RunStep[] = [];
  for (const step of steps) {
    const last = joined.at(-1);
    if (step.kind === 'straight' && last?.kind === 'straight')
      joined[joined.length - 1] = { kind: 'straight', length: last.length + step.length };
    else joined.push(step);
  }
  return joined;
}
