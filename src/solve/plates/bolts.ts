import { cosd, sind } from '../../geometry/angle.ts';
import { type FlatLoop, loopPoints } from '../../geometry/flat-path.ts';
import type { Mm, Vec2 } from '../../geometry/vector.ts';
import type { BoltHoles } from '../../job/job.ts';
import type { PlateOpening } from './plate.ts';

/** Chord tolerance of the line that holes are spaced along. */
const SPACING: Mm = 1e-4;

interface Around {
  /** The witness line's side in the plate. */
  readonly up: Vec2;
  /** Whether the plate's own axes show the tube as one sees it looking along it (1) or against it (-1). */
  readonly clockwise: 1 | -1;
  /** The tube's outside, so much larger, in the plate. */
  readonly outside: (out: Mm) => FlatLoop;
}

/** Evenly spaced holes round a tube, counted clockwise from up as seen along the tube. */
export function boltHoles({ count, diameter, on }: BoltHoles, around: Around): readonly PlateOpening[] {
  const places = Array.from({ length: count }, (_, i) => i / count);
  const middles =
    on.kind === 'circle'
      ? places.map((share) => turned(around.up, -around.clockwise * (on.fromDeg + 360 * share), on.diameter / 2))
      : alongLoop(
          around.outside(on.out),
          around,
          places.map((share) => on.from + share),
        );
  return middles.map(
    (middle, i): PlateOpening => ({
      loop: { kind: 'circle', center: middle, radius: diameter / 2 },
      for: `bolt ${i + 1}`,
      middle,
      leanDeg: 0,
    }),
  );
}

const turned = ([x, y]: Vec2, deg: number, r: Mm): Vec2 => [
  r * (x * cosd(deg) - y * sind(deg)),
  r * (x * sind(deg) + y * cosd(deg)),
];

/** Places at shares of the loop's length from where it lies farthest up, the way round that the tube counts. */
function alongLoop(loop: FlatLoop, { up, clockwise }: Around, shares: readonly number[]): readonly Vec2[] {
  const all = loopPoints(loop, SPACING);
  const points = clockwise > 0 ? [...all].reverse() : all;
  const steps = points.map((p, i) => apart(p, points[(i + 1) % points.length]!));
  const whole = steps.reduce((sum, step) => sum + step, 0);
  const starts = steps.reduce<number[]>(
    (sums, step) => {
      sums.push(sums.at(-1)! + step);
      return sums;
    },
    [0],
  );
  const first = topOf(points, starts, up);
  return shares.map((share) => {
    const at = (((first + share * whole) % whole) + whole) % whole;
    let i = points.length - 1;
    while (i > 0 && starts[i]! > at) i--;
    const k = (at - starts[i]!) / (steps[i]! || 1);
    const [p, q] = [points[i]!, points[(i + 1) % points.length]!];
    return [p[0] + (q[0] - p[0]) * k, p[1] + (q[1] - p[1]) * k];
  });
}

/** Length along the points at which the line from the middle toward `up` leaves them. */
function topOf(points: readonly Vec2[], starts: readonly number[], up: Vec2): Mm {
  for (let i = 0; i < points.length; i++) {
    const [p, q] = [points[i]!, points[(i + 1) % points.length]!];
    const [a, b] = [side(up, p), side(up, q)];
    const ahead = up[0] * p[0] + up[1] * p[1] > 0;
    if (ahead && a === 0) return starts[i]!;
    if (ahead && a * b < 0) return starts[i]! + (apart(p, q) * a) / (a - b);
  }
  throw new Error('internal: a flange whose outline does not go round its tube');
}

const side = (up: Vec2, p: Vec2): number => up[0] * p[1] - up[1] * p[0];
const apart = (p: Vec2, q: Vec2): Mm => Math.hypot(p[0] - q[0], p[1] - q[1]);
