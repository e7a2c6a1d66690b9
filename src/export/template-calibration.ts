import type { Mm, Vec2 } from '../geometry/vector.ts';
import type { Mark } from './sheet-paper.ts';

/** Bars to lay a rule on: 50 mm and 2 in, across and up the sheet, since printers stretch the two differently. */
export const BARS = [
  { length: 50, text: '50 mm' },
  { length: 50.8, text: '2 in' },
] as const;

const TICK: Mm = 3;
const TEXT: Mm = 2.8;
export const CALIBRATION_WARNING = 'CHECK THIS BEFORE USE';

/** Both bars, one under the other, from the left end at `at`; 10 mm high with their warning. */
export function barsAcross([x, y]: Vec2): readonly Mark[] {
  return [
    ...BARS.flatMap(({ length, text }, i) => {
      const row = y + 1.5 + i * 4.2;
      return [
        ...bar([x, row], [x + length, row]),
        { kind: 'text', at: [x + 54, row + 1], text, size: TEXT, bold: true } as const,
      ];
    }),
    { kind: 'text', at: [x, y + 11.2], text: CALIBRATION_WARNING, size: TEXT, bold: true },
  ];
}

/** The same up the sheet, from the lower end at `at`. */
export function barsUp([x, y]: Vec2): readonly Mark[] {
  return BARS.flatMap(({ length, text }, i) => {
    const column = x + 1.5 + i * 4.2;
    return [
      ...bar([column, y], [column, y - length]),
      { kind: 'text', at: [column + 1, y - 54], text, size: TEXT, bold: true, turnDeg: 270 } as const,
    ];
  });
}

/** A line with a tick square to each end; the ticks' middles are the length apart. */
function bar(from: Vec2, to: Vec2): readonly Mark[] {
  const across = from[1] === to[1];
  const tick = ([x, y]: Vec2): Mark => ({
    kind: 'line',
    type: 'thin',
    points: across
      ? [
          [x, y - TICK / 2],
          [x, y + TICK / 2],
        ]
      : [
          [x - TICK / 2, y],
          [x + TICK / 2, y],
        ],
  });
  return [{ kind: 'line', type: 'thin', points: [from, to] }, tick(from), tick(to)];
}
