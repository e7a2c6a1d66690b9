import { strFromU8, strToU8, zipSync } from 'fflate';
import { afterEach, beforeAll, describe, expect, it } from 'vitest';
import { picture } from '../../src/export/picture.ts';
import { standAt } from '../../src/export/plate.ts';
import { pngBytes } from '../../src/export/png.ts';
import { MODEL_PART, type ThreemfPackage, threemfBytes, unpackThreemf } from '../../src/export/threemf.ts';
import { takePlainLists } from '../../src/export/threemf-lists.ts';
import { readThreemf } from '../../src/export/threemf-read.ts';
import { IDENTITY } from '../../src/geometry/placement.ts';
import { evaluate } from '../../src/solid/evaluate.ts';
import { openKernel } from '../../src/solid/kernel.ts';
import type { Mesh } from '../../src/solid/mesh.ts';
import { checkMesh, meshBounds } from '../../src/solid/mesh-check.ts';
import { boxMesh, labeledSleeve } from '../solid/shapes.ts';

let sleeve: Mesh;
beforeAll(async () => {
  const solid = labeledSleeve({ bore: 30.45, thick: 3, facets: 128 });
  sleeve = evaluate(await openKernel(), solid, { partName: 'collar' });
});

const block: ThreemfPackage = {
  title: 'Block',
  objects: [{ name: 'block', partNumber: 'rail/block', mesh: boxMesh() }],
  items: [{ objectIndex: 0, placement: IDENTITY }],
  metadata: [],
};
const withMesh = (mesh: Mesh): ThreemfPackage => ({ ...block, objects: [{ name: 'block', partNumber: 'b', mesh }] });
const modelOf = (content: ThreemfPackage): string =>
  strFromU8(unpackThreemf(threemfBytes(content))[MODEL_PART] ?? new Uint8Array());

const zone = process.env.TZ;
afterEach(() => {
  if (zone === undefined) delete process.env.TZ;
  else process.env.TZ = zone;
});

describe('3MF', () => {
  it('read back it holds the very mesh, the names, the placement and the metadata', () => {
    const thumbnail = pngBytes(
      picture([{ mesh: sleeve, color: [99, 150, 99] }], { width: 32, height: 32, view: { from: [1, 1, 1] } }),
    );
    const placement = standAt(meshBounds(sleeve), [12.5, 20], true);
    const read = readThreemf(
      threemfBytes({
        title: 'A <b> & "c"',
        objects: [...block.objects, { name: 'collar ø57 管', partNumber: 'x', mesh: sleeve }],
        items: [{ objectIndex: 1, placement }],
        metadata: [
          { name: 'Application', value: 'Kerfwright' },
          { name: 'JobHash', value: '<&>' },
        ],
        thumbnail,
        sourceDateEpoch: 86_400,
      }),
    );
    expect(read.title).toBe('A <b> & "c"');
    expect(read.metadata).toEqual([
      { name: 'Application', value: 'Kerfwright' },
      { name: 'kw:JobHash', value: '<&>' },
      { name: 'CreationDate', value: '1970-01-02T00:00:00Z' },
    ]);
    expect(read.objects.map((o) => o.name)).toEqual(['block', 'collar ø57 管']);
    expect(read.objects[1]?.mesh.positions).toEqual(sleeve.positions);
    expect(read.objects[1]?.mesh.triangles).toEqual(sleeve.triangles);
    expect(read.items[0]?.objectIndex).toBe(1);
    expect(read.items[0]?.placement.x).toEqual([0, 1, 0]);
    for (const axis of [0, 1, 2] as const) {
      expect(read.items[0]?.placement.origin[axis]).toBeCloseTo(placement.origin[axis], 6);
    }
    expect(read.thumbnail).toEqual(thumbnail);
    expect(checkMesh(read.objects[1]!.mesh)).toMatchObject({ closed: true, zeroArea: 0, duplicateVertices: 0 });
  });

  it('says its unit, puts metadata first and carries no date unless given one', () => {
    const model = modelOf(block);
    expect(model).toMatch(/^<\?xml version="1.0" encoding="UTF-8"\?>\n<model unit="millimeter" /);
    expect(model.indexOf('<metadata')).toBeLessThan(model.indexOf('<resources>'));
    expect(model).not.toContain('CreationDate');
    expect(model).toContain('<item objectid="1" transform="1 0 0 0 1 0 0 0 1 0 0 0" partnumber="rail/block"/>');
  });

  it('has its parts in the order readers want, stored or deflated', () => {
    expect(Object.keys(unpackThreemf(threemfBytes(block)))).toEqual(['[Content_Types].xml', '_rels/.rels', MODEL_PART]);
  });

  it('makes the same bytes in any time zone', () => {
    const made = ['Pacific/Auckland', 'America/Anchorage', 'UTC', 'Asia/Kolkata'].map((place) => {
      process.env.TZ = place;
      return {
        offset: new Date(1980, 0, 1).getTimezoneOffset(),
        bytes: threemfBytes({ ...block, sourceDateEpoch: 0 }),
      };
    });
    expect(new Set(made.map((m) => m.offset)).size).toBe(4);
    for (const { bytes } of made) expect(bytes).toEqual(made[0]?.bytes);
  });

  it('a zip dated by a moment instead would move with the time zone', () => {
    const made = ['Pacific/Auckland', 'UTC'].map((place) => {
      process.env.TZ = place;
      return zipSync({ a: new Uint8Array(1) }, { mtime: new Date('1990-01-01T00:00:00Z') });
    });
    expect(made[0]).not.toEqual(made[1]);
  });

  it.each<[string, () => ThreemfPackage, RegExp]>([
    [
      'an open mesh',
      () => withMesh({ ...boxMesh(), triangles: boxMesh().triangles.slice(3) }),
      /^internal: block: the mesh to be written is not closed/,
    ],
    [
      'a mesh inside out',
      () => withMesh({ ...boxMesh(), triangles: boxMesh().triangles.slice().reverse() }),
      /is inside out/,
    ],
    ['vertices that fall together when rounded', () => withMesh(boxMesh(10, 10, 3e-7)), /doubled vertices/],
    [
      'a coordinate that is no number',
      () => withMesh({ ...boxMesh(), positions: boxMesh().positions.map((x, i) => (i ? x : Number.NaN)) }),
      /a coordinate is not a number/,
    ],
    ['nothing to print', () => ({ ...block, items: [] }), /without a part to print/],
    [
      'an item of no object',
      () => ({ ...block, items: [{ objectIndex: 1, placement: IDENTITY }] }),
      /item of object 1, of 1/,
    ],
    [
      'a flat placement',
      () => ({ ...block, items: [{ objectIndex: 0, placement: { ...IDENTITY, z: [0, 0, 0] } }] }),
      /placement is bent/,
    ],
    [
      'a mirrored placement',
      () => ({ ...block, items: [{ objectIndex: 0, placement: { ...IDENTITY, z: [0, 0, -1] } }] }),
      /placement is bent/,
    ],
    [
      'a placement with a NaN',
      () => ({ ...block, items: [{ objectIndex: 0, placement: { ...IDENTITY, origin: [0, Number.NaN, 0] } }] }),
      /internal/,
    ],
    [
      'a part below the bed',
      () => ({ ...block, items: [{ objectIndex: 0, placement: { ...IDENTITY, origin: [0, 0, -1] } }] }),
      /stands 1 mm outside the bed's corner/,
    ],
    ['a metadata name twice', () => ({ ...block, metadata: [{ name: 'Title', value: 'x' }] }), /metadata Title twice/],
    [
      'a metadata name with a colon',
      () => ({ ...block, metadata: [{ name: 'a:b', value: 'x' }] }),
      /metadata name "a:b"/,
    ],
    ['a control character', () => ({ ...block, title: 'a\u0007' }), /character U\+7 cannot be written/],
    ['a line break in a name', () => ({ ...block, title: 'a\nb' }), /character U\+a cannot be written/],
    ['half a surrogate pair', () => ({ ...block, title: 'a\ud83d' }), /character U\+d83d cannot be written/],
  ])('%s is refused', (_, content, message) => {
    expect(() => threemfBytes(content())).toThrow(message);
  });

  it('a name outside the basic plane is written', () => {
    expect(readThreemf(threemfBytes({ ...block, title: '🔧 rail' })).title).toBe('🔧 rail');
  });

  it('is read byte by byte or as XML, whichever way its lists stand, to the same mesh', () => {
    const parts = {
      ...unpackThreemf(
        threemfBytes({
          ...withMesh(sleeve),
          items: [{ objectIndex: 0, placement: standAt(meshBounds(sleeve), [0, 0]) }],
        }),
      ),
    };
    const model = strFromU8(parts[MODEL_PART]!);
    const other = model.replace(/<vertex (x="[^"]*") (y="[^"]*")/, '<vertex $2 $1');
    expect(other).not.toBe(model);
    expect(takePlainLists(parts[MODEL_PART]!)?.lists.map(({ name }) => name)).toEqual(['vertices', 'triangles']);
    expect(takePlainLists(strToU8(other))).toBeUndefined();
    const [plain, named] = [model, other].map((text) =>
      readThreemf(zipSync({ ...parts, [MODEL_PART]: strToU8(text) })),
    );
    expect(plain?.objects).toEqual(named?.objects);
    expect(plain?.objects[0]?.mesh.triangles).toEqual(sleeve.triangles);
  });

  it.each<[string, (model: string) => string, RegExp]>([
    ['another unit', (m) => m.replace('millimeter', 'inch'), /3MF unit inch/],
    ['an unknown element', (m) => m.replace('<build>', '<build><stray/>'), /element stray inside build/],
    ['an index beyond the vertices', (m) => m.replace(/v1="\d+"/, 'v1="8"'), /names vertex 8/],
    ['an exponent', (m) => m.replace(/x="0"/, 'x="1e3"'), /3MF number "1e3"/],
    ['a short transform', (m) => m.replace('1 0 0 0 1', '1 0 0 0'), /transform of 11 numbers/],
    [
      'a doubled id',
      (m) => m.replace('</resources>', '<object id="1" name="a" partnumber="b"></object></resources>'),
      /object id 1/,
    ],
    ['an item of nothing', (m) => m.replace('objectid="1"', 'objectid="2"'), /item of object 2/],
    ['a comment', (m) => m.replace('<build>', '<!-- --><build>'), /XML not understood/],
    ['a tag left open', (m) => m.replace('</build>', ''), /XML closes model, which is not open/],
    ['a document that ends early', (m) => m.replace('</model>', ''), /XML ends inside model/],
    ['a bare ampersand', (m) => m.replace('>Block<', '>A & B<'), /escape & B? ?.* not understood/],
  ])('reading refuses %s', (_, change, message) => {
    const parts = { ...unpackThreemf(threemfBytes(block)) };
    const model = new TextDecoder().decode(parts[MODEL_PART]);
    expect(change(model)).not.toBe(model);
    expect(() => readThreemf(zipSync({ ...parts, [MODEL_PART]: new TextEncoder().encode(change(model)) }))).toThrow(
      message,
    );
  });
});
