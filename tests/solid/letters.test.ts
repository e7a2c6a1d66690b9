import { describe, expect, it } from 'vitest';
import type { Vec2 } from '../../src/geometry/vector.ts';
import { type LetterStroke, letterOf } from '../../src/solid/letter-strokes.ts';
import { inkOf } from '../../src/solid/pen.ts';
import { strokeGlyph } from '../../src/solid/profile.ts';

const PRINTABLE = Array.from({ length: 95 }, (_, i) => String.fromCharCode(32 + i)).filter((c) => !/[a-z]/u.test(c));

/** How far a place lies inside a convex polygon, counterclockwise; negative outside. */
const depthIn = (polygon: readonly Vec2[], [x, y]: Vec2): number =>
  Math.min(
    ...polygon.map(([ax, ay], i) => {
      const [bx, by] = polygon[(i + 1) % polygon.length]!;
      const long = Math.hypot(bx - ax, by - ay);
      return long < 1e-12 ? Number.POSITIVE_INFINITY : ((bx - ax) * (y - ay) - (by - ay) * (x - ax)) / long;
    }),
  );

const PEN = 0.8;

/** Printed dots of a letter 4 mm high: places of a grid of 0.1 mm that its pen covers. */
function dotsOf(character: string, letter = 4): ReadonlySet<string> {
  const ink = letterOf(character).strokes.flatMap((stroke) =>
    inkOf({ ...stroke, corners: stroke.corners.map(([x, y]): Vec2 => [x * letter, y * letter]) }, PEN / 2),
  );
  const left = Math.min(...ink.flat().map(([x]) => x));
  const dots = new Set<string>();
  for (let i = 0; i < 60; i++) {
    for (let k = -20; k < 60; k++) {
      const at: Vec2 = [left + (i + 0.5) / 10, (k + 0.5) / 10];
      if (ink.some((polygon) => depthIn(polygon, at) > 0)) dots.add(`${i} ${k}`);
    }
  }
  return dots;
}

describe('letters', () => {
  it('go on as those of the stroke font do, stand on the line and are no wider', () => {
    for (const character of PRINTABLE.filter((c) => /[0-9A-Z]/u.test(c))) {
      const [ours, font] = [letterOf(character), strokeGlyph(character)];
      expect(ours.advance, character).toBeCloseTo(font.advance, 9);
      const [xs, ys] = ([0, 1] as const).map((k) => ours.strokes.flatMap(({ corners }) => corners.map((p) => p[k])));
      const room = font.strokes.flat().map((p) => p[0]);
      expect(Math.min(...xs!), character).toBeGreaterThanOrEqual(Math.min(...room) - 1e-9);
      expect(Math.max(...xs!), character).toBeLessThanOrEqual(Math.max(...room) + 1e-9);
      expect(Math.min(...ys!), character).toBeCloseTo(character === 'Q' ? -2 / 21 : 0, 9);
      expect(Math.max(...ys!), character).toBeCloseTo(1, 9);
    }
  });

  it('have at most 16 corners, and 7.5 on average, as the pen goes', () => {
    const corners = PRINTABLE.filter((c) => /[0-9A-Z]/u.test(c)).map((c) =>
      letterOf(c).strokes.reduce((sum, stroke) => sum + stroke.corners.length, 0),
    );
    expect(Math.max(...corners)).toBeLessThanOrEqual(16);
    expect(corners.reduce((sum, n) => sum + n, 0) / corners.length).toBeLessThan(7.5);
  });

  it.each(['B8', '0O', '5S', '6G', '1I', '2Z', 'D0', 'DO', '.,', 'OQ', 'CG', 'UV', ':;', '38', '69', 'KX', 'PR', 'EF'])(
    '%s are told apart at 4 mm: at least 6 dots of 0.3 mm differ',
    (pair) => {
      const [a, b] = [...pair].map((c) => dotsOf(c)) as [ReadonlySet<string>, ReadonlySet<string>];
      const differ = [...a].filter((dot) => !b.has(dot)).length + [...b].filter((dot) => !a.has(dot)).length;
      expect(differ).toBeGreaterThan(6 * 9);
    },
  );

  it.each(['0', '4', '6', '8', '9', 'A', 'B', 'D', 'O', 'P', 'Q', 'R'])(
    '%s keeps its eyes open at 4 mm',
    (character) => {
      const dots = dotsOf(character);
      const spots = [...dots].map((dot) => dot.split(' ').map(Number) as [number, number]);
      const [wide, low, high] = [
        Math.max(...spots.map(([i]) => i)),
        Math.min(...spots.map(([, k]) => k)) - 1,
        Math.max(...spots.map(([, k]) => k)) + 1,
      ];
      // What paper is reached from beside the letter; the rest that is not ink is an eye.
      const reached = new Set<string>();
      const ahead: [number, number][] = [[-1, low]];
      for (let next = ahead.pop(); next; next = ahead.pop()) {
        const [i, k] = next;
        if (i < -1 || i > wide + 1 || k < low || k > high || dots.has(`${i} ${k}`) || reached.has(`${i} ${k}`))
          continue;
        reached.add(`${i} ${k}`);
        ahead.push([i + 1, k], [i - 1, k], [i, k + 1], [i, k - 1]);
      }
      const eyes = (wide + 3) * (high - low + 1) - reached.size - dots.size;
      expect(eyes).toBeGreaterThan(character === 'A' || character === '4' ? 10 : 40);
    },
  );
});

describe('the pen', () => {
  const stroke = (corners: readonly Vec2[], change: Partial<LetterStroke> = {}): LetterStroke => ({
    corners,
    closed: false,
    free: [true, true],
    ...change,
  });

  it('draws an upright stroke with square ends, a lone place as a square', () => {
    const [bar] = inkOf(
      stroke([
        [0, 0],
        [0, 4],
      ]),
      0.4,
    );
    const rounded = bar!.map((p) => p.map((x) => Math.round(x * 1e9) / 1e9 + 0));
    expect(rounded).toEqual([
      [-0.4, -0.4],
      [0.4, -0.4],
      [0.4, 4.4],
      [-0.4, 4.4],
    ]);
    expect(inkOf(stroke([[1, 1]]), 0.5)).toEqual([
      [
        [0.5, 0.5],
        [1.5, 0.5],
        [1.5, 1.5],
        [0.5, 1.5],
      ],
    ]);
  });

  it('stops where a stroke ends on another', () => {
    const [bar] = inkOf(
      stroke(
        [
          [0, 0],
          [3, 0],
        ],
        { free: [false, true] },
      ),
      0.4,
    );
    expect(Math.min(...bar!.map(([x]) => x))).toBeCloseTo(0, 12);
    expect(Math.max(...bar!.map(([x]) => x))).toBeCloseTo(3.4, 12);
  });

  it.each(Array.from({ length: 35 }, (_, i) => 10 * i + 5))(
    'covers a turn of %d deg whole, and no more than a hair beyond a square pen',
    (turn) => {
      const way = (turn * Math.PI) / 180;
      const [a, b]: [Vec2, Vec2] = [
        [-5, 0],
        [5 * Math.cos(way), 5 * Math.sin(way)],
      ];
      const ink = inkOf(stroke([a, [0, 0], b]), 0.4);
      for (const polygon of ink) {
        for (const [x, y] of polygon) {
          const near = Math.min(...[a, [0, 0] as Vec2, b].map((p) => Math.max(Math.abs(x - p[0]), Math.abs(y - p[1]))));
          expect(near).toBeLessThan(0.4 * 1.42);
        }
      }
      // A round pen's places lie in it, but for the very end of a corner that is cut off.
      for (let i = 0; i < 40; i++) {
        const at: Vec2 = [0.39 * Math.cos((i * Math.PI) / 20), 0.39 * Math.sin((i * Math.PI) / 20)];
        expect(Math.max(...ink.map((polygon) => depthIn(polygon, at)))).toBeGreaterThan(-1e-9);
      }
    },
  );
});
