import { describe, expect, test } from 'vitest';
import { pieceMesh } from '../../src/export/piece-mesh.ts';
import { viewData } from '../../src/export/sheet-view.ts';
import { type PackedItem, type ViewItem, viewText } from '../../src/export/view-data.ts';
import type { Mesh } from '../../src/solid/mesh.ts';
import { checkMesh } from '../../src/solid/mesh-check.ts';
import { shaded } from '../../src/viewer/shading.ts';
import { unpackMesh } from '../../src/viewer/unpack.ts';
import { barTube, jobOf, rectangle, round, solved } from '../support/jobs.ts';
import { smallJob } from './small-job.ts';

const unpacked = (items: readonly ViewItem[]): readonly PackedItem[] => JSON.parse(viewText({ items })).items;

const barMesh = (section: Parameters<typeof barTube>[1]): Mesh =>
  pieceMesh(
    solved(jobOf([barTube('bar', section, { from: [10, -20, 5], to: [10, -20, 305], up: [0, 1, 0] })])).pieces[0]!,
  );

const itemOf = (mesh: Mesh): ViewItem => ({ group: 'piece', name: 'bar', with: [], color: [1, 2, 3], mesh });

describe('what the page carries of a job', () => {
  test('meshes come back closed, with their volume, and every corner within half a step', () => {
    const mesh = barMesh(rectangle(40, 30, 2, 4));
    const [item] = unpacked([itemOf(mesh)]);
    const back = unpackMesh(item!);
    expect(item!.step).toBeCloseTo(300 / 65535, 9);
    expect(checkMesh(back).closed).toBe(true);
    expect(checkMesh(back).volume / checkMesh(mesh).volume).toBeCloseTo(1, 3);
    const corners = ({ positions, triangles }: Mesh): readonly number[] =>
      [...triangles].flatMap((vertex) => [...positions.subarray(3 * vertex, 3 * vertex + 3)]);
    const [given, got] = [corners(mesh), corners(back)];
    expect(got).toHaveLength(given.length);
    expect(Math.max(...given.map((x, i) => Math.abs(x - got[i]!)))).toBeLessThanOrEqual(item!.step / 2 + 1e-9);
  });

  test('holds every piece and tool, tools with the pieces they sit on and the waste they cut off', () => {
    const { solution, tools } = smallJob();
    const { items } = viewData(solution, tools);
    expect(items.filter(({ group }) => group === 'piece').map(({ name }) => name)).toEqual(
      solution.members.map(({ name }) => name),
    );
    const tool = items.find(({ group }) => group === 'tool')!;
    expect(tool.name).toBe(tools[0]!.tool.name);
    expect(tool.with).toEqual(['arm']);
    expect(items.some(({ group, with: of }) => group === 'waste' && of.includes(tool.name))).toBe(true);
    expect(new Set(items.map(({ name }) => name)).size).toBe(items.length);
    // The collar goes round the arm where it starts, 15 mm from the middle of the post.
    const along = tool.mesh.positions.filter((_, i) => i % 3 === 0);
    expect(Math.min(...along)).toBeGreaterThan(-30);
    expect(Math.max(...along)).toBeLessThan(110);
  });

  test('no name ends the block it stands in', () => {
    expect(viewText({ items: [{ ...itemOf(barMesh(round(30, 2))), name: '</script><b>' }] })).not.toContain('<');
  });
});

describe('how surfaces are lit', () => {
  test('a round tube smoothly, its sawn ends flat', () => {
    const { positions, normals } = shaded(barMesh(round(30, 2)));
    for (let i = 0; i < positions.length; i += 3) {
      const [x, y] = [positions[i]! - 10, positions[i + 1]! + 20];
      const radial = (x * normals[i]! + y * normals[i + 1]!) / Math.hypot(x, y);
      const along = Math.abs(normals[i + 2]!);
      expect(Math.max(Math.abs(radial), along)).toBeGreaterThan(0.999);
      expect(Math.min(Math.abs(radial), along)).toBeLessThan(0.02);
    }
  });

  test('and is grown without a gap: corners that share a place share a way out', () => {
    const { positions, away } = shaded(barMesh(round(40, 2)));
    const ways = new Map<string, string>();
    for (let i = 0; i < positions.length; i += 3) {
      const place = positions.subarray(i, i + 3).join(' ');
      const way = [...away.subarray(i, i + 3)].map((x) => x.toFixed(5)).join(' ');
      expect(ways.get(place) ?? way).toBe(way);
      ways.set(place, way);
    }
  });
});
