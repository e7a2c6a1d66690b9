import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { zipSync } from 'fflate';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { picture } from '../../src/export/picture.ts';
import { standAt } from '../../src/export/plate.ts';
import { pngBytes } from '../../src/export/png.ts';
import { stlBytes } from '../../src/export/stl.ts';
import { MODEL_PART, threemfBytes, unpackThreemf } from '../../src/export/threemf.ts';
import { evaluate } from '../../src/solid/evaluate.ts';
import { openKernel } from '../../src/solid/kernel.ts';
import type { Mesh } from '../../src/solid/mesh.ts';
import { meshBounds, signedVolume } from '../../src/solid/mesh-check.ts';
import { boxMesh, labeledSleeve } from '../solid/shapes.ts';
import { admesh, lib3mfStrict, schemaOf3mf, slicerInfo, type Verdict } from './readers.ts';

const folder = mkdtempSync(join(tmpdir(), 'readers-'));
afterAll(() => rmSync(folder, { recursive: true }));
const write = (name: string, bytes: Uint8Array): string => {
  const path = join(folder, name);
  writeFileSync(path, bytes);
  return path;
};

let sleeve: Mesh;
let good: Uint8Array;
beforeAll(async () => {
  const kernel = await openKernel();
  sleeve = evaluate(kernel, labeledSleeve({ bore: 30.45, thick: 3, facets: 256 }), {
    partName: 'collar',
  });
  const box = boxMesh();
  good = threemfBytes({
    title: 'Rail & stanchion <3°>',
    objects: [
      { name: 'collar "A" & B', partNumber: 'rail/collar', mesh: sleeve },
      { name: 'block', partNumber: 'rail/block', mesh: box },
    ],
    items: [
      { objectIndex: 0, placement: standAt(meshBounds(sleeve), [10, 10]) },
      { objectIndex: 1, placement: standAt(meshBounds(box), [120, 10], true) },
    ],
    metadata: [
      { name: 'Application', value: 'Kerfwright' },
      { name: 'JobHash', value: 'f00d' },
    ],
    thumbnail: pngBytes(
      picture([{ mesh: sleeve, color: [200, 200, 90] }], { width: 128, height: 128, view: { from: [1, -2, 1] } }),
    ),
    sourceDateEpoch: 0,
  });
});

/** A package with its model's text changed, everything else as it was. */
function spoiled(change: (model: string) => string): Uint8Array {
  const parts = { ...unpackThreemf(good) };
  const model = new TextDecoder().decode(parts[MODEL_PART]);
  const after = change(model);
  expect(after).not.toBe(model);
  return zipSync({ ...parts, [MODEL_PART]: new TextEncoder().encode(after) });
}

const wholeVolume = (): number => signedVolume(sleeve) + 6000;
const read3mf = (name: string, bytes: Uint8Array): Record<string, Verdict> => {
  const path = write(name, bytes);
  const [slicer] = slicerInfo([{ path, items: 2, volume: wholeVolume() }]);
  return { lib3mf: lib3mfStrict(path), schema: schemaOf3mf(path), slicer: slicer! };
};
const readStl = (name: string, mesh: Mesh): Record<string, Verdict> => {
  const path = write(name, stlBytes(mesh));
  const [slicer] = slicerInfo([{ path, items: 1, volume: signedVolume(sleeve) }]);
  return { admesh: admesh(path), slicer: slicer! };
};
const faults = (read: Record<string, Verdict>): Record<string, readonly string[]> =>
  Object.fromEntries(Object.entries(read).map(([name, { faults: lines }]) => [name, lines]));

describe('outside readers', () => {
  it('all find a two-part 3MF of ours clean', () => {
    const read = read3mf('good.3mf', good);
    expect(faults(read)).toEqual({ lib3mf: [], schema: [], slicer: [] });
    expect(read.lib3mf?.facts).toEqual({
      objects: 2,
      items: 2,
      vertices: sleeve.positions.length / 3 + 8,
      triangles: sleeve.triangles.length / 3 + 12,
    });
  });

  it('all find an STL of ours clean', () => {
    const read = readStl('good.stl', sleeve);
    expect(faults(read)).toEqual({ admesh: [], slicer: [] });
    expect(read.admesh?.facts['Number of facets']).toBe(sleeve.triangles.length / 3);
  });

  it('the slicer reads many files in one start', () => {
    const files = Array.from({ length: 8 }, (_, i) => ({
      path: write(`many-${i}.stl`, stlBytes(sleeve)),
      items: 1,
      volume: i === 3 ? 1 : signedVolume(sleeve),
    }));
    const verdicts = slicerInfo(files);
    expect(verdicts.map((v) => v.clean)).toEqual(files.map((_, i) => i !== 3));
  });

  it.each<[string, (model: string) => string, readonly string[]]>([
    ['an open edge', (m) => m.replace(/<triangle [^>]*>\n/u, ''), ['lib3mf', 'slicer']],
    ['a flipped facet', (m) => m.replace(/v1="(\d+)" v2="(\d+)"/u, 'v1="$2" v2="$1"'), ['lib3mf', 'slicer']],
    [
      'a facet that names a corner twice',
      (m) => m.replace(/v1="(\d+)" v2="\d+"/u, 'v1="$1" v2="$1"'),
      ['lib3mf', 'slicer'],
    ],
    [
      'doubled metadata',
      (m) => m.replace('<resources>', '<metadata name="Title">again</metadata><resources>'),
      ['lib3mf'],
    ],
    ['a metadata name of its own', (m) => m.replace('kw:JobHash', 'JobHash'), ['lib3mf']],
    ['a number that is none', (m) => m.replace(/x="[^"]*"/u, 'x="NaN"'), ['lib3mf', 'schema']],
    ['a unit that is none', (m) => m.replace('millimeter', 'mm'), ['lib3mf', 'schema']],
    ['a part to print that is missing', (m) => m.replace('objectid="2"', 'objectid="7"'), ['lib3mf', 'slicer']],
    [
      'metadata in the wrong place',
      (m) => m.replace('</build>', '</build><metadata name="Rating">1</metadata>'),
      ['schema'],
    ],
    ['a control character', (m) => m.replace('block', 'bl\u0001ock'), ['schema', 'slicer']],
  ])('%s is found', (name, change, finders) => {
    const found = faults(read3mf(`${name.replaceAll(' ', '-')}.3mf`, spoiled(change)));
    for (const reader of finders) expect(found[reader], JSON.stringify(found)).not.toEqual([]);
  });

  it.each<[string, (mesh: Mesh) => Mesh]>([
    ['an open edge', (mesh) => ({ ...mesh, triangles: mesh.triangles.slice(3) })],
    [
      'a flipped facet',
      (mesh) => ({
        ...mesh,
        triangles: mesh.triangles.map((v, i, all) => (i === 0 ? all[1]! : i === 1 ? all[0]! : v)),
      }),
    ],
    [
      'a facet with two corners alike',
      (mesh) => ({ ...mesh, triangles: Uint32Array.from([...mesh.triangles, 0, 0, 1]) }),
    ],
    ['all facets inside out', (mesh) => ({ ...mesh, triangles: mesh.triangles.slice().reverse() })],
  ])('%s is found in an STL', (name, change) => {
    const found = faults(readStl(`${name.replaceAll(' ', '-')}.stl`, change(sleeve)));
    expect(found.admesh, JSON.stringify(found)).not.toEqual([]);
  });

  it('a reader that is not installed fails, naming its Debian package', () => {
    const path = process.env.PATH;
    process.env.PATH = folder;
    try {
      expect(() => admesh('any.stl')).toThrow('admesh is missing: install the Debian package admesh');
      expect(() => slicerInfo([{ path: 'any.stl', items: 1, volume: 1 }])).toThrow(
        'install the Debian package prusa-slicer',
      );
      expect(() => schemaOf3mf('any.3mf')).toThrow('install the Debian package unzip');
    } finally {
      process.env.PATH = path;
    }
  });

  it('none finds a 3MF mesh inside out, so our own gate does', () => {
    const inside = spoiled((m) => m.replaceAll(/v1="(\d+)" v2="(\d+)"/gu, 'v1="$2" v2="$1"'));
    expect(faults(read3mf('inside-out.3mf', inside))).toEqual({ lib3mf: [], schema: [], slicer: [] });
    const mesh = { ...boxMesh(), triangles: boxMesh().triangles.slice().reverse() };
    const item = { objectIndex: 0, placement: standAt(meshBounds(mesh), [0, 0]) };
    expect(() =>
      threemfBytes({ title: 't', objects: [{ name: 'block', partNumber: 'b', mesh }], items: [item], metadata: [] }),
    ).toThrow('internal: block: the mesh to be written is inside out or empty');
  });
});
