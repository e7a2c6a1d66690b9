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

  it('that is none, or is packed in a way that is not known, is told', () => {
    expect(() => unzipBytes(new Uint8Array(5))).toThrow('invalid zip data');
    const bytes = zipBytes(files);
    const list = Buffer.from(bytes).indexOf('PK\x01\x02');
    const spoiled = bytes.map((byte, i) => (i === list + 10 ? byte ^ 4 : byte));
    expect(() => unzipBytes(spoiled)).toThrow('unknown compression type 12');
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
