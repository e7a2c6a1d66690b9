import { unzipSync, zipSync } from 'fflate';
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
  it('gives back what went in, the same bytes each time', () => {
    const bytes = zipBytes(files);
    expect(bytes.length).toBeLessThan(text.length / 10 + noise.length + 500);
    const expected = Object.fromEntries(files.map((file) => [file.name, file.bytes]));
    expect(unzipBytes(bytes)).toEqual(expected);
    expect(zipBytes(files)).toEqual(bytes);
  });

  it('that is none, or is not what it says of its files, is told', () => {
    expect(() => unzipBytes(new Uint8Array(5))).toThrow('internal: not a ZIP archive');
    const bytes = zipBytes(files);
    const spoiled = (at: number, by = 1): Uint8Array => bytes.map((byte, i) => (i === at ? byte ^ by : byte));
    const stored = Buffer.from(bytes).indexOf(noise);
    expect(() => unzipBytes(spoiled(stored + 99))).toThrow(
      'internal: größe.png is not what its ZIP archive says of it',
    );
    const list = Buffer.from(bytes).indexOf('PK\x01\x02');
    expect(() => unzipBytes(spoiled(list))).toThrow('internal: ZIP archive with a broken list of files');
    expect(() => unzipBytes(spoiled(list + 10, 4))).toThrow('internal: 3D/model is packed by method 12');
    expect(() => unzipBytes(spoiled(list + 16))).toThrow('internal: 3D/model is not what its ZIP archive says of it');
    expect(() => unzipBytes(spoiled(list + 24))).toThrow(/3D\/model is not what|Cannot create a Buffer larger/);
    expect(() => unzipBytes(spoiled(list + 42))).toThrow('internal: 3D/model is not where its ZIP archive says');
  });

  it('of another writer is read too, and another reader reads ours', () => {
    const expected = Object.fromEntries(files.map((file) => [file.name, file.bytes]));
    expect(unzipBytes(zipSync(expected))).toEqual(expected);
    expect(unzipSync(zipBytes(files))).toEqual(expected);
  });

  it('has the check of ISO 3309, by node or byte by byte', () => {
    // The check value that catalogs of such codes give for the digits 1 to 9.
    const digits = new TextEncoder().encode('123456789');
    expect(crc32(digits)).toBe(0xcbf43926);
    expect(plainCrc32(digits)).toBe(0xcbf43926);
    expect(plainCrc32(text)).toBe(crc32(text));
  });
});
