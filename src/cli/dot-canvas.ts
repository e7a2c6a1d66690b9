/** A small drawing of dots, as far apart sideways as up and down, that is printed as letters. */
export interface DotCanvas {
  readonly columns: number;
  readonly rows: number;
  /** Dots in a letter: sideways, and down. */
  readonly cell: readonly [number, number];
  readonly dots: Uint8Array;
}

/** Letters are about twice as high as wide: both cells have square dots. Braille patterns have eight, ASCII signs two. */
const CELLS = { unicode: [2, 4], ascii: [1, 2] } as const;
export type Letters = keyof typeof CELLS;

export function openCanvas(size: readonly [number, number], letters: Letters): DotCanvas {
  const cell = CELLS[letters];
  const [columns, rows] = size;
  return { columns, rows, cell, dots: new Uint8Array(columns * cell[0] * rows * cell[1]) };
}

/** Dots across and down. */
export const dotsOf = ({ columns, rows, cell }: DotCanvas): readonly [number, number] => [
  columns * cell[0],
  rows * cell[1],
];

type Spot = readonly [number, number];

/** A line of dots from one to the other, both taken; what lies off the canvas is left out. */
export function drawLine(canvas: DotCanvas, from: Spot, to: Spot): void {
  const [across, down] = dotsOf(canvas);
  const steps = Math.max(1, Math.ceil(Math.max(Math.abs(to[0] - from[0]), Math.abs(to[1] - from[1]))));
  for (let i = 0; i <= steps; i++) {
    const x = Math.round(from[0] + ((to[0] - from[0]) * i) / steps);
    const y = Math.round(from[1] + ((to[1] - from[1]) * i) / steps);
    if (x >= 0 && y >= 0 && x < across && y < down) canvas.dots[y * across + x] = 1;
  }
}

/** Bits of a braille pattern (Unicode 2800 to 28FF), by row and column of its dots. */
const BRAILLE = [
  [0x01, 0x08],
  [0x02, 0x10],
  [0x04, 0x20],
  [0x40, 0x80],
] as const;
/** Nothing, a dot above, one below, both. */
const ASCII = [' ', "'", '.', ':'] as const;

/** One text for each row of letters, nothing behind the last dot. */
export function canvasLines(canvas: DotCanvas): readonly string[] {
  const { columns, rows, cell, dots } = canvas;
  const [across] = dotsOf(canvas);
  const isSet = (x: number, y: number): boolean => dots[y * across + x] === 1;
  return Array.from({ length: rows }, (_, row) =>
    Array.from({ length: columns }, (_, column) => {
      const [x, y] = [column * cell[0], row * cell[1]];
      if (cell[0] === 1) return ASCII[(isSet(x, y) ? 1 : 0) + (isSet(x, y + 1) ? 2 : 0)] ?? ' ';
      let bits = 0;
      BRAILLE.forEach((pair, j) => {
        pair.forEach((bit, i) => {
          if (isSet(x + i, y + j)) bits |= bit;
        });
      });
      return bits === 0 ? ' ' : String.fromCodePoint(0x2800 + bits);
    })
      .join('')
      .trimEnd(),
  );
}
