import { atan2d, tand } from '../geometry/angle.ts';
import { PARALLEL_SINE, SAME_PLACE } from '../geometry/tolerance.ts';
import { cross, type Deg, dot, length, type Mm, sub, type Vec3 } from '../geometry/vector.ts';
import { figure, type JobPath, type Problem } from './problem.ts';
import type { Units } from './units.ts';
import { angleText, lengthText, listed } from './wording.ts';

export interface Polyline {
  readonly name: string;
  readonly units: Units;
  readonly path: JobPath;
  readonly points: readonly Vec3[];
  readonly clrs: readonly Mm[];
}

/**
 * Corners that cannot be bent: legs without length, corners that go straight on or straight back, and legs shorter than
 * their setbacks clr * tan(bend/2).
 */
export function pointsProblems(line: Polyline): Problem[] {
  const legs = line.points.slice(1).map((p, i) => sub(p, line.points[i]!));
  const lengths = legs.map(length);
  const same = lengths.flatMap((l, i) => (l > SAME_PLACE ? [] : [samePlace(line, i)]));
  if (same.length > 0) return same;
  const turns = legs.slice(1).map((leg, i) => turnBetween(legs[i]!, leg));
  const limp = turns.flatMap((turn, i) => cornerProblem(line, { i, turn }));
  if (limp.length > 0) return limp;
  const setbacks = turns.map((turn, i) => line.clrs[i]! * tand(turn / 2));
  return lengths.flatMap((l, i) => shortLeg(line, { i, length: l, turns, setbacks }));
}

const turnBetween = (p: Vec3, q: Vec3): Deg => atan2d(length(cross(p, q)), dot(p, q));

function samePlace({ name, path }: Polyline, leg: number): Problem {
  return {
    code: 'member/empty',
    severity: 'error',
    path: [...path, 'points', leg + 1],
    message: `leg ${leg + 1} of ${name} has no length: points ${leg + 1} and ${leg + 2} are the same place`,
    hint: 'take one of them away',
  };
}

function cornerProblem({ name, path }: Polyline, { i, turn }: { i: number; turn: Deg }): Problem[] {
  const straight = turn < 90;
  if (Math.sin((turn * Math.PI) / 180) > PARALLEL_SINE) return [];
  return [
    {
      code: 'bend/corner-straight',
      severity: 'error',
      path: [...path, 'points', i + 1],
      message: `${name} ${straight ? 'goes straight on' : 'turns straight back'} at point ${i + 2} (bend ${angleText(turn)})`,
      hint: straight ? 'take the point away' : 'a turn of 180 deg takes two corners, or a run with a bend of 180',
      measured: turn,
    },
  ];
}

interface Leg {
  readonly i: number;
  readonly length: Mm;
  readonly turns: readonly Deg[];
  readonly setbacks: readonly Mm[];
}

function shortLeg({ name, units, path, clrs }: Polyline, { i, length: long, turns, setbacks }: Leg): Problem[] {
  const corners = [i - 1, i].filter((c) => c >= 0 && c < turns.length);
  const needed = corners.reduce((sum, c) => sum + setbacks[c]!, 0);
  if (corners.length === 0 || long >= needed - SAME_PLACE) return [];
  const tell = (mm: Mm): string => lengthText(mm, units);
  const radii = [...new Set(corners.map((c) => tell(clrs[c]!)))];
  const where =
    corners.length === 2 ? 'between bend corners; its two setbacks need' : 'to its bend corner; the setback needs';
  return [
    {
      code: 'bend/leg-too-short',
      severity: 'error',
      path: [...path, 'points', i + 1],
      message: `leg ${i + 1} of ${name} is ${tell(long)} ${where} ${tell(needed)} (clr ${listed(radii)}, ${listed(corners.map((c) => figure(turns[c]!)))} deg)`,
      hint: `lengthen leg ${i + 1} by ${tell(needed - long)}, or use a smaller clr`,
      measured: long,
      limit: needed,
    },
  ];
}
