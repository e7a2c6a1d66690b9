import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { centerlineFrom, mirrored } from '../../src/geometry/centerline.ts';
import { solidDistance } from '../../src/geometry/distance.ts';
import { formNearest, formRun, quarterOf } from '../../src/geometry/form.ts';
import { frameFrom } from '../../src/geometry/frame.ts';
import {
  areaInside,
  formOf,
  perimeter,
  type Section,
  sectionBetween,
  sectionDistance,
  sectionHeight,
  sectionWidth,
} from '../../src/geometry/section.ts';
import { generatorOf, sectionAt, type TubeShape } from '../../src/geometry/tube-shape.ts';
import { generatorLength, lengthRound, surfacePlace, surfacePoint } from '../../src/geometry/tube-surface.ts';
import { distance, type Mm, type Vec2, type Vec3 } from '../../src/geometry/vector.ts';
import { between, runs, sectionOf } from '../properties/arbitrary.ts';
import { ellipse, oval, rectangle, round } from '../support/jobs.ts';
import { worst } from '../support/measure.ts';

const taperTube = (from: Section, to: Section, how: { length: Mm; shift?: Vec2 }): TubeShape => ({
  section: from,
  centerline: centerlineFrom(frameFrom([1, 2, 3], [0.3, 0.4, 1], [0, 1, 0.2]), [
    { kind: 'straight', length: 40 },
    { kind: 'taper', length: how.length, from, to, shift: how.shift ?? [0, 0] },
    { kind: 'straight', length: 50 },
  ]),
});

const PAIRS: readonly (readonly [string, Section, Section])[] = [
  ['round to round', round(60), round(30)],
  ['round to flat oval', round(60), oval(90, 36)],
  ['flat oval to ellipse', oval(40, 80), ellipse(70, 40)],
  ['round to sharp rectangle', round(60), rectangle(80, 50, 0)],
  ['rectangle to ellipse', rectangle(80, 50, 6), ellipse(40, 60)],
];

describe.each(PAIRS)('a taper, %s', (_, from, to) => {
  const tube = taperTube(from, to, { length: 70 });

  test('is as wide and as high as the straight line between its ends says', () => {
    const pairs = [0, 0.2, 0.5, 0.9, 1].flatMap((k): [number, number][] => {
      const section = sectionAt(tube, 40 + 70 * k);
      const mix = (p: Mm, q: Mm): Mm => p + (q - p) * k;
      return [
        [mix(sectionWidth(from), sectionWidth(to)), sectionWidth(section)],
        [mix(sectionHeight(from), sectionHeight(to)), sectionHeight(section)],
        // Cauchy: the outline of a sum is as long as those of its parts.
        [mix(perimeter(from), perimeter(to)), perimeter(section)],
      ];
    });
    expect(worst('sizes', pairs)).toBeLessThan(1e-9);
  });

  test('encloses the area and the length round that a fine polygon has', () => {
    const section = sectionBetween(from, to, 0.4);
    const form = formOf(section);
    const quarter = quarterOf(form);
    const count = 20_000;
    const bare = {
      section,
      centerline: centerlineFrom(frameFrom([0, 0, 0], [0, 0, 1]), [{ kind: 'straight', length: 1 } as const]),
    };
    const points = Array.from({ length: count }, (_, i) => generatorOf(bare, i / count).besideAt(0).point);
    let [area, half, whole] = [0, 0, 0];
    points.forEach(([x, y], i) => {
      const [nx, ny] = points[(i + 1) % count]!;
      area += (y * nx - x * ny) / 2;
      whole += Math.hypot(nx - x, ny - y);
      if (i < count / 2) half = whole;
    });
    expect(Math.abs(areaInside(section) - area)).toBeLessThan(0.01);
    expect(Math.abs(perimeter(section) - whole)).toBeLessThan(0.001);
    expect(Math.abs(formRun(form, quarter, 0.5) - half)).toBeLessThan(0.001);
  });
});

test('generators lie on the surface, and points square to it stand as far off as asked, for any two sections, eccentric or not', () => {
  const job = fc.record({
    from: sectionOf(60),
    to: sectionOf(45),
    length: between(25, 120),
    shift: fc.tuple(between(-12, 12), between(-12, 12)),
    u: between(0, 0.999),
    share: between(0.1, 0.9),
    out: between(0.2, 3),
  });
  fc.assert(
    fc.property(job, ({ from, to, length, shift, u, share, out }) => {
      const tube = taperTube(from, to, { length, shift });
      const s = 40 + length * share;
      const on = generatorOf(tube, u).pointAt(s);
      expect(Math.abs(solidDistance(tube, on))).toBeLessThan(1e-10);
      const off = surfacePoint(tube, { u, s, out });
      // Near an end, the nearest place may lie on the straight beyond it.
      if (share > 0.3 && share < 0.7) expect(Math.abs(solidDistance(tube, off) - out)).toBeLessThan(1e-9);
      expect(solidDistance(tube, off)).toBeLessThanOrEqual(out + 1e-9);
      const place = surfacePlace(tube, off);
      if (share > 0.3 && share < 0.7)
        expect(distance(generatorOf(tube, place.u).pointAt(place.s), on)).toBeLessThan(1e-6);
    }),
    runs(60),
  );
});

test('the distance from a cone is the one its own formula gives, outside and beside its ends', () => {
  const [r0, r1, long] = [30, 12, 50];
  const line = centerlineFrom(frameFrom([0, 0, 0], [0, 0, 1], [0, 1, 0]), [
    { kind: 'taper', length: long, from: round(2 * r0), to: round(2 * r1), shift: [0, 0] },
  ]);
  const cone = { section: round(2 * r0), centerline: line };
  // In the plane of the axis: the segment from (r0, 0) to (r1, long).
  const exact = (r: Mm, z: Mm): Mm => {
    const [dx, dz] = [r1 - r0, long];
    const k = Math.max(0, Math.min(1, ((r - r0) * dx + z * dz) / (dx * dx + dz * dz)));
    return Math.hypot(r - r0 - k * dx, z - k * dz);
  };
  const pairs = [
    [45, 20],
    [31, -10],
    [14, 70],
    [60, 49],
    [29, 3],
  ].map(([r, z]): [number, number] => [exact(r!, z!), solidDistance(cone, [r! * 0.6, r! * 0.8, z!] as Vec3)]);
  expect(worst('cone', pairs)).toBeLessThan(1e-12);
});

test('an ellipse and a blend find the same nearest places as a search over their outline', () => {
  const section = sectionBetween(ellipse(70, 40), rectangle(50, 60, 5), 0.6);
  const form = formOf(section);
  const count = 40_000;
  const bare = {
    section,
    centerline: centerlineFrom(frameFrom([0, 0, 0], [0, 0, 1]), [{ kind: 'straight', length: 1 } as const]),
  };
  const outline = Array.from({ length: count }, (_, i) => generatorOf(bare, i / count).besideAt(0).point);
  const pairs = [
    [50, 10],
    [-20, 45],
    [33, -33],
    [-31, -8],
  ].map(([a, b]): [number, number] => [
    Math.min(...outline.map(([x, y]) => Math.hypot(x - a!, y - b!))),
    Math.abs(formNearest(form, a!, b!).distance),
  ]);
  expect(worst('blend', pairs)).toBeLessThan(1e-4);
  expect(sectionDistance(section, 0, 0)).toBeLessThan(0);
});

test('lengths on the slant and round the tube are those of the cone', () => {
  const tube = taperTube(round(60), round(30), { length: 36 });
  // Radius falls 15 over 36: the slant is 39 by Pythagoras.
  expect(generatorLength(tube, 0.3, { from: 40, to: 76 })).toBeCloseTo(39, 12);
  expect(generatorLength(tube, 0.3, { from: 76, to: 40 })).toBeCloseTo(-39, 12);
  expect(generatorLength(tube, 0.3, { from: 30, to: 86 })).toBeCloseTo(10 + 39 + 10, 12);
  expect(lengthRound(tube, 58, 0.25)).toBeCloseTo((Math.PI * 45) / 4, 9);
});

test('the mirror image of an eccentric taper is its mirror image', () => {
  const tube = taperTube(round(60), oval(80, 40), { length: 50, shift: [9, 4] });
  const plane = { point: [3, 0, 0], normal: [1, 0, 0] } as const;
  const image = { section: tube.section, centerline: mirrored(tube.centerline, plane) };
  const pairs = [0.05, 0.3, 0.62, 0.9].map((u): [number, number] => {
    const [x, y, z] = generatorOf(tube, u).pointAt(70);
    return [0, distance([6 - x, y, z], generatorOf(image, 1 - u).pointAt(70))];
  });
  expect(worst('mirror', pairs)).toBeLessThan(1e-12);
});
