import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { type AssemblyPicture, assemblyPicture } from '../../src/export/assembly-picture.ts';
import { assemblyPng } from '../../src/export/assembly-png.ts';
import { drawnPicture } from '../../src/export/picture.ts';
import { PIECE_COLORS } from '../../src/export/picture-colors.ts';
import { pieceMesh } from '../../src/export/piece-mesh.ts';
import type { Mark } from '../../src/export/sheet-paper.ts';
import { areaInside } from '../../src/geometry/section.ts';
import type { Vec2 } from '../../src/geometry/vector.ts';
import { loadJob } from '../../src/job/load.ts';
import { checkMesh } from '../../src/solid/mesh-check.ts';
import type { Solution } from '../../src/solve/solution.ts';
import { solveJob } from '../../src/solve/solve.ts';
import { readPng } from '../external/paper-browser.ts';
import { randomCope, runs } from '../properties/arbitrary.ts';
import { barTube, jobOf, round, solved } from '../support/jobs.ts';
import { example } from '../support/tools.ts';
import { EXAMPLES } from './sheet-support.ts';

const solutionOf = (name: string): Solution => solveJob(loadJob(example(name), {}).value!).value!;
const DRAWN = new Map(
  EXAMPLES.map((name) => {
    const solution = solutionOf(name);
    return [name, { solution, assembly: assemblyPicture(solution) }] as const;
  }),
);

const bar = solved(jobOf([barTube('bar', round(30, 2), { from: [0, 0, 0], to: [0, 0, 300], up: [0, 1, 0] })]));

const texts = ({ marks }: Pick<AssemblyPicture, 'marks'>): readonly string[] =>
  marks.flatMap((mark) => (mark.kind === 'text' ? [mark.text] : []));

/** Where leaders end: the dots of 0.7 mm that they carry. */
const dots = (marks: readonly Mark[]): readonly Vec2[] =>
  marks.flatMap((mark) => {
    if (mark.kind !== 'fill' || mark.gray !== 0 || mark.points.length < 20) return [];
    const sum = mark.points.slice(1).reduce<Vec2>(([x, y], p) => [x + p[0], y + p[1]], [0, 0]);
    return [[sum[0] / (mark.points.length - 1), sum[1] / (mark.points.length - 1)]];
  });

describe('pieces as they are drawn', () => {
  test('are closed tubes with the volume of their walls', () => {
    for (const { solution } of DRAWN.values()) {
      for (const piece of solution.pieces) expect(checkMesh(pieceMesh(piece)).closed, piece.member.name).toBe(true);
    }
    const wall = areaInside(round(30, 2)) - areaInside(round(30, 2), 2);
    expect(checkMesh(pieceMesh(bar.pieces[0]!)).volume / (300 * wall)).toBeCloseTo(1, 2);
  });

  test('end on the solved curves, outside and in', () => {
    for (const { solution } of DRAWN.values()) {
      for (const piece of solution.pieces.filter(({ finishEnd }) => finishEnd && !finishEnd.bend)) {
        const { positions } = pieceMesh(piece);
        for (const curve of Object.values(piece.finishEnd!.curves)) {
          const far = curve.samples.reduce((most, sample) => (sample.s > most.s ? sample : most)).point;
          let nearest = Number.POSITIVE_INFINITY;
          for (let i = 0; i < positions.length; i += 3)
            nearest = Math.min(
              nearest,
              Math.hypot(positions[i]! - far[0], positions[i + 1]! - far[1], positions[i + 2]! - far[2]),
            );
          expect(nearest, `${piece.member.name} ${curve.surface}`).toBeLessThan(1);
        }
      }
    }
  });
});

describe('the assembly picture', () => {
  test('has a number for each piece, and its leader ends on that very piece, not on one before it', () => {
    for (const [name, { solution, assembly }] of DRAWN) {
      const numbers = solution.pieces.map((_, i) => String(i + 1));
      expect(texts(assembly).filter((text) => numbers.includes(text))).toHaveLength(numbers.length);
      const { rgba, image, marks } = assembly;
      const order = marks.flatMap((mark) => (mark.kind === 'text' && numbers.includes(mark.text) ? [mark.text] : []));
      dots(marks).forEach(([x, y], k) => {
        const i = Number(order[k]) - 1;
        const px = Math.round(((x - image.at[0]) / image.width) * rgba.width);
        const py = Math.round(((y - image.at[1]) / image.height) * rgba.height);
        const [r, g, b] = rgba.pixels.subarray(4 * (py * rgba.width + px), 4 * (py * rgba.width + px) + 3);
        const [wr, wg, wb] = PIECE_COLORS[i % PIECE_COLORS.length]!;
        // The piece's color, lighter or darker.
        expect(Math.abs(r! / g! - wr / wg), `${name} ${i + 1}`).toBeLessThan(0.06);
        expect(Math.abs(b! / g! - wb / wg), `${name} ${i + 1}`).toBeLessThan(0.06);
      });
    }
  });

  test('carries the size of the box round everything, in mm or in 64ths of an inch', () => {
    // A frame of 1200 by 600 on tube of 40.1, its top at 820.05, its leg from the floor.
    const { assembly } = DRAWN.get('bench-frame')!;
    expect(assembly.size.map((x) => Math.round(100 * x) / 100)).toEqual([1240.1, 640.1, 820.05]);
    for (const figure of ['1240.1', '640.1', '820']) expect(texts(assembly)).toContain(figure);
    const inches = DRAWN.get('cargo-rack')!.assembly;
    // Rails of 80 in, 48 in apart on centers, of 1-3/4 in.
    for (const figure of ['80', '49-3/4']) expect(texts(inches)).toContain(figure);
  });

  /** Ink that lies beside the drawing, in mm from its corner. */
  const offSheet = ({ marks, width, height }: AssemblyPicture): readonly Vec2[] =>
    marks
      .flatMap((mark) =>
        mark.kind === 'line' || mark.kind === 'fill' ? mark.points : mark.kind === 'text' ? [mark.at] : [],
      )
      .filter(([x, y]) => !(x >= 0 && x <= width && y >= 0 && y <= height));

  test('nothing of the picture and its dimensions falls off the sheet', () => {
    for (const [name, { assembly }] of DRAWN) expect(offSheet(assembly), name).toEqual([]);
    // A tube askew lies far from most corners of the box that its dimensions stand on.
    const askew = barTube('bar', round(30, 2), { from: [0, 0, 0], to: [400, 300, -350], up: [0, 0, 1] });
    expect(offSheet(assemblyPicture(solved(jobOf([askew]))))).toEqual([]);
  });

  test('whatever the sections and angles of a cope', () => {
    fc.assert(
      fc.property(randomCope, ({ job }) => {
        const solution = solved(job);
        expect(offSheet(assemblyPicture(solution))).toEqual([]);
        for (const piece of solution.pieces) expect(checkMesh(pieceMesh(piece)).closed).toBe(true);
      }),
      runs(4),
    );
  });

  test('spots are where the picture draws them, and what stands before them is told', () => {
    const mesh = { mesh: pieceMesh(bar.pieces[0]!), color: [0, 0, 0] as const };
    const { spot } = drawnPicture([mesh], { width: 100, height: 200, view: { from: [0, -1, 0] } });
    expect(spot([0, 0, 0]).at).toEqual([expect.closeTo(50, 3), expect.closeTo(190, 3)]);
    expect(spot([0, 0, 300]).at).toEqual([expect.closeTo(50, 3), expect.closeTo(10, 3)]);
    expect(spot([0, 0, 150]).behind).toBeCloseTo(15, 0);
    expect(spot([0, -15, 150]).behind).toBeCloseTo(0, 0);
    expect(spot([40, 0, 150]).behind).toBe(0);
  });
});

describe('the assembly as a PNG', () => {
  const { solution, assembly } = DRAWN.get('boat-rail')!;
  const names = solution.pieces.map(({ member }) => member.name);

  test('is the same bytes twice, and has a key of names below the picture', () => {
    const png = assemblyPng(assembly, { names, units: 'mm' });
    expect(Buffer.compare(png, assemblyPng(assemblyPicture(solution), { names, units: 'mm' }))).toBe(0);
    const { width, height, bytes } = readPng(Buffer.from(png));
    expect(width / height).toBeGreaterThan(1.2);
    const channels = bytes.length / (width * height);
    const inkIn = (from: number, to: number): number => {
      let ink = 0;
      for (let at = Math.floor(from * height) * width; at < to * height * width; at++)
        if (bytes[at * channels]! < 128) ink++;
      return ink;
    };
    expect(inkIn(assembly.height / (assembly.height + 15), 1)).toBeGreaterThan(2000);
    const bare = readPng(Buffer.from(assemblyPng(assembly, { names: [], units: 'mm' })));
    expect(bare.bytes.length).toBeLessThanOrEqual(bytes.length);
  });

  test('letters and figures stand seven pixels high when it is shown 400 wide', () => {
    for (const mark of assembly.marks) {
      if (mark.kind === 'text') expect((0.72 * mark.size * 400) / assembly.width).toBeGreaterThan(7);
    }
  });
});
