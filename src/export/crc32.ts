import * as zlib from 'node:zlib';

/** Cyclic redundancy check of PNG (annex D); node's own came only with 20.15. */
export const crc32: (bytes: Uint8Array) => number = typeof zlib.crc32 === 'function' ? zlib.crc32 : plainCrc32;

/** The same, byte by byte. */
export function plainCrc32(bytes: Uint8Array): number {
  let crc = 0xffffffff;
  for (let i = 0; i < bytes.length; i++) crc = CRC_TABLE[(crc ^ bytes[i]!) & 0xff]! ^ (crc >>> 8);
  return (crc ^ 0xffffffff) >>> 0;
}

const CRC_TABLE = Uint32Array.from({ length: 256 }, (_, byte) => {
  let crc = byte;
  for (let bit = 0; bit < 8; bit++) crc = crc & 1 ? 0xedb88320 ^ (crc >>> 1) : crc >>> 1;
  return crc;
});
