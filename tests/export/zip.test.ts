import { strFromU8, unzipSync, zipSync } from 'fflate';
import { describe, expect, it } from 'vitest';
import { crc32, plainCrc32 } from '../../src/export/crc32.ts';
import { unzipBytes, zipBytes } from '../../src/export/zip.ts';

const text = new TextEncoder().encode('vertex '.repeat(3000));
const noise = Uint8Array.from({ length: 500 }, (_, i) => (i * i * 31) % 251);
const files = [
  { name: '3D/model', bytes: text },
  { name: 'größe.png', bytes: noise, stored: true },
  { name: 'nothing', bytes: new Uint8Array() },
];

describe('a ZIP archive', () => {
  it('is read by another reader, and back by its own', () => {
    const bytes = zipBytes(files);
    expect(bytes.length).toBeLessThan(text.length / 10 + noise.length + 500);
    const expected = Object.fromEntries(files.map((file) => [file.name, file.bytes]));
    expect(unzipSync(bytes)).toEqual(expected);
    expect(unzipBytes(bytes)).toEqual(expected);
    expect(zipBytes(files)).toEqual(bytes);
  });

  it('of another writer is read too', () => {
    const other = zipSync({ 'a/b': text, c: [noise, { level: 0 }] }, { comment: 'made elsewhere' });
    expect(Object.keys(unzipBytes(other))).toEqual(['a/b', 'c']);
    expect(strFromU8(unzipBytes(other)['a/b']!)).toBe(strFromU8(text));
  });

  it('that is broken is told, wherever it is broken', () => {
    const bytes = zipBytes(files);
    expect(() => unzipBytes(bytes.subarray(0, bytes.length - 30))).toThrow('internal: no ZIP archive');
    const at = bytes.findIndex((_, i) => noise.every((byte, k) => k > 20 || bytes[i + k] === byte));
    for (const [place, what] of [
      [at, 'größe.png is broken'],
      [0, 'without 3D/model'],
    ] as const) {
      const broken = bytes.slice();
      broken[place]! ^= 1;
      expect(() => unzipBytes(broken)).toThrow(what);
    }
    expect(() => unzipBytes(new Uint8Array(5))).toThrow('internal: no ZIP archive');
  });

  it('has the check of ISO 3309, by node or byte by byte', () => {
    // The check value that catalogs of such codes give for the digits 1 to 9.
    const digits = new TextEncoder().encode('123456789');
    expect(crc32(digits)).toBe(0xcbf43926);
    expect(plainCrc32(digits)).toBe(0xcbf43926);
    expect(plainCrc32(text)).toBe(crc32(text));
  });
});
