import { inflateSync } from 'node:zlib';
import { describe, expect, it } from 'vitest';
import { drawnPicture, type PictureOptions, picture } from '../../src/export/picture.ts';
import { drawnEdges, seenFacets, sharpEdges } from '../../src/export/picture-edges.ts';
import { pngBytes, type Rgba } from '../../src/export/png.ts';
import type { Mesh } from '../../src/solid/mesh.ts';
import { boxMesh, sleeveMesh } from '../solid/shapes.ts';

const color = [200, 120, 40] as const;
const top: PictureOptions = { width: 60, height: 60, view: { from: [0, 0, 1], up: [0, 1, 0] } };
const pixel = (image: Rgba, x: number, y: number): number[] =>
  Array.from(image.pixels.slice(4 * (y * image.width + x), 4 * (y * image.width + x) + 4));
const WHITE = [255, 255, 255, 255];
const moved = (mesh: Mesh, z: number): Mesh => ({
  ...mesh,
  positions: mesh.positions.map((x, i) => (i % 3 === 2 ? x + z : x)),
});
/** The box's mesh, 10 x 20 x 30, seen from above: 27 x 54 pixels of 60. */
const box = boxMesh();

describe('pictures', () => {
  it('fits the part, centered, on white', () => {
    const image = picture([{ mesh: box, color }], top);
    expect(pixel(image, 30, 30)).not.toEqual(WHITE);
    expect(pixel(image, 30, 5)).not.toEqual(WHITE);
    expect(pixel(image, 12, 30)).toEqual(WHITE);
    expect(pixel(image, 48, 30)).toEqual(WHITE);
    expect(pixel(image, 30, 0)).toEqual(WHITE);
  });

  it('draws edges dark and faces in their color', () => {
    const image = picture([{ mesh: box, color }], top);
    const [red = 0, green = 0, blue = 0] = pixel(image, 25, 25);
    expect(red / green).toBeCloseTo(200 / 120, 1);
    expect(green / blue).toBeCloseTo(120 / 40, 0);
    const large = picture([{ mesh: box, color }], { ...top, width: 400, height: 400 });
    const across = Array.from({ length: 40 }, (_, i) => pixel(large, 90 + i, 200)[0] ?? 255);
    expect(Math.min(...across)).toBeLessThan(0.75 * red);
    // One line, not a smear: at most three pixels are darker than the face.
    expect(across.filter((value) => value < red - 5).length).toBeLessThanOrEqual(3);
  });

  it('what is nearer the eye hides what lies behind, in either order', () => {
    const lid = { mesh: moved(boxMesh(10, 20, 1), 40), color: [0, 0, 250] as const };
    for (const parts of [
      [lid, { mesh: box, color }],
      [{ mesh: box, color }, lid],
    ]) {
      const [red = 0, , blue = 0] = pixel(picture(parts, top), 25, 25);
      expect(blue).toBeGreaterThan(3 * red);
    }
  });

  it('a ghost tints what it stands before, is hidden by what stands before it, and does not move the fit', () => {
    const plain = picture([{ mesh: box, color }], top);
    const ghost = (z: number) => ({ mesh: moved(boxMesh(10, 20, 1), z), color: [0, 0, 250] as const, opacity: 0.5 });
    const before = picture([{ mesh: box, color }, ghost(40)], top);
    const behind = picture([{ mesh: box, color }, ghost(-40)], top);
    expect(pixel(before, 27, 27)[2]!).toBeGreaterThan(pixel(plain, 27, 27)[2]! + 50);
    expect(pixel(before, 27, 27)[0]!).toBeGreaterThan(50);
    expect(pixel(behind, 27, 27)).toEqual(pixel(plain, 27, 27));
    const wide = picture(
      [
        { mesh: box, color },
        { ...ghost(-40), mesh: moved(boxMesh(500, 500, 1), -40) },
      ],
      top,
    );
    expect(pixel(wide, 30, 30)).toEqual(pixel(behind, 30, 30));
  });

  it('sees the right side: looking along +y, +x is at the right hand', () => {
    const wedge: Mesh = {
      positions: Float64Array.from([0, 0, 0, 10, 0, 0, 10, 0, 10, 0, 1, 0, 10, 1, 0, 10, 1, 10]),
      triangles: Uint32Array.from([0, 1, 2, 3, 5, 4, 0, 3, 4, 0, 4, 1, 1, 4, 5, 1, 5, 2, 0, 2, 5, 0, 5, 3]),
    };
    const image = picture([{ mesh: wedge, color }], { width: 40, height: 40, view: { from: [0, -1, 0] } });
    expect(pixel(image, 32, 12)).not.toEqual(WHITE);
    expect(pixel(image, 8, 12)).toEqual(WHITE);
  });

  it('the same picture has the same bytes; another view has others', () => {
    const draw = (from: [number, number, number]): Uint8Array =>
      pngBytes(picture([{ mesh: box, color }], { ...top, view: { from } }));
    expect(draw([1, 2, 3])).toEqual(draw([1, 2, 3]));
    expect(draw([1, 2, 3])).not.toEqual(draw([1, 2, 3.1]));
  });

  it('nothing to draw, or a view along its own up, is refused', () => {
    expect(() => picture([], top)).toThrow('internal: picture of nothing');
    expect(() => picture([{ mesh: box, color }], { ...top, view: { from: [0, 0, 1] } })).toThrow(
      'internal: direction of a zero-length vector',
    );
  });
});

describe('edges a draftsman would draw', () => {
  it('the nine of a box that can be seen, not the diagonals of its faces', () => {
    expect(drawnEdges(box, seenFacets(box, [0.3, 0.5, 0.8]))).toHaveLength(2 * 9);
    expect(sharpEdges(box)).toHaveLength(2 * 12);
  });

  it('the rims of a sleeve and its two outlines, not its facets', () => {
    const facets = 96;
    const sleeve = sleeveMesh({ bore: 20, thick: 3, facets });
    const edges = drawnEdges(sleeve, seenFacets(sleeve, [0.02, -1, 0.01])).length / 2;
    // Both upper rims but for where the wave falls away from the eye, half of both lower ones, and two outline generators
    // each for bore and outside.
    expect(edges).toBeGreaterThanOrEqual(2 * facets + 4);
    expect(edges).toBeLessThan(3 * facets + 4 + facets / 4);
    expect(sharpEdges(sleeve).length / 2).toBeGreaterThanOrEqual(4 * facets);
  });
});

describe('a large picture, drawn a band of rows at a time', () => {
  const front: PictureOptions = { width: 600, height: 1200, view: { from: [0, -1, 0] } };
  const tall = boxMesh(8, 5, 20);
  const shownRows = (image: Rgba, x: number): readonly string[] =>
    Array.from({ length: image.height }, (_, y) => pixel(image, x, y).join());

  it('shows no seam: a flat face has one color all the way down, and its side one line', () => {
    const image = picture([{ mesh: tall, color }], front);
    for (let x = 0; x < 600; x += 6) expect(new Set(shownRows(image, x).slice(80, 1120)).size).toBe(1);
    expect(new Set(shownRows(image, 300)).size).toBeGreaterThan(2);
  });

  it('nor under a ghost, and tells what stands before a point in any band', () => {
    const ghost = { mesh: boxMesh(4, 10, 20), color: [0, 0, 255] as const, opacity: 0.5 };
    const image = picture([{ mesh: tall, color }, ghost], front);
    expect(new Set(shownRows(image, 300).slice(180, 1020)).size).toBe(1);
    const { spot } = drawnPicture([{ mesh: tall, color }], front);
    for (const z of [1, 5, 10, 10.1, 15, 19]) expect(spot([4, 3, z]).behind).toBeCloseTo(3, 6);
  });
});

describe('PNG', () => {
  it('holds the pixels it was given', () => {
    const pixels = Uint8Array.from({ length: 4 * 5 * 3 }, (_, i) => (i * 37) & 255);
    const bytes = pngBytes({ width: 5, height: 3, pixels });
    const view = new DataView(bytes.buffer);
    expect(Array.from(bytes.slice(0, 8))).toEqual([137, 80, 78, 71, 13, 10, 26, 10]);
    expect([view.getUint32(16), view.getUint32(20)]).toEqual([5, 3]);
    const size = view.getUint32(33);
    expect(new TextDecoder().decode(bytes.slice(37, 41))).toBe('IDAT');
    const rows = inflateSync(bytes.slice(41, 41 + size));
    const back: number[] = [];
    for (let y = 0; y < 3; y++) for (let x = 0; x < 20; x++) back.push(rows[y * 21 + 1 + x]!);
    expect(back).toEqual(Array.from(pixels));
    // Each row says of itself that it is written as it is.
    expect([0, 21, 42].map((at) => rows[at])).toEqual([0, 0, 0]);
  });

  it('ends with the check sum every PNG ends with', () => {
    const bytes = pngBytes({ width: 1, height: 1, pixels: new Uint8Array(4) });
    expect(Array.from(bytes.slice(-12))).toEqual([0, 0, 0, 0, 73, 69, 78, 68, 174, 66, 96, 130]);
    expect(() => pngBytes({ width: 2, height: 1, pixels: new Uint8Array(4) })).toThrow(
      'internal: picture of 2 x 1 has 4 bytes',
    );
  });
});
