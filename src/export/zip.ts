import { deflateRawSync, inflateRawSync } from 'node:zlib';
import { crc32 } from './crc32.ts';

export interface ZipFile {
  readonly name: string;
  readonly bytes: Uint8Array;
  /** As it is: what is packed already. */
  readonly stored?: boolean;
}

const LOCAL = 0x04034b50;
const CENTRAL = 0x02014b50;
const END = 0x06054b50;
const LOCAL_SIZE = 30;
const CENTRAL_SIZE = 46;
const END_SIZE = 22;
/** 2.0: deflate. */
const VERSION = 20;
const STORE = 0;
const DEFLATE = 8;
/** Names in UTF-8. */
const UTF8 = 0x0800;
/** The format's first day, 1980-01-01, so that the same files give the same bytes whenever they are written. */
const FIRST_DAY = 0x21;
/** Of node's deflate: as small as at 5 or 6 within a twentieth, in half the time. */
const LEVEL = 4;

/**
 * A ZIP archive (PKWARE APPNOTE 6.3, without extensions), files in the order given. Errors: an archive beyond what the
 * format's 32-bit fields hold throws.
 */
export function zipBytes(files: readonly ZipFile[]): Uint8Array {
  const packed = files.map(({ name, bytes, stored }) => ({
    name: Buffer.from(name),
    data: stored ? bytes : deflateRawSync(bytes, { level: LEVEL }),
    method: stored ? STORE : DEFLATE,
    size: bytes.length,
    crc: crc32(bytes),
  }));
  const body = packed.reduce((sum, { name, data }) => sum + LOCAL_SIZE + name.length + data.length, 0);
  const list = packed.reduce((sum, { name }) => sum + CENTRAL_SIZE + name.length, 0);
  if (body + list + END_SIZE >= 2 ** 32 || packed.length >= 2 ** 16) throw new Error('internal: ZIP archive too large');
  const out = Buffer.alloc(body + list + END_SIZE);
  let at = 0;
  let entry = body;
  for (const { name, data, method, size, crc } of packed) {
    const fields = (place: number): void => {
      out.writeUInt16LE(VERSION, place);
      out.writeUInt16LE(UTF8, place + 2);
      out.writeUInt16LE(method, place + 4);
      out.writeUInt16LE(FIRST_DAY, place + 8);
      out.writeUInt32LE(crc, place + 10);
      out.writeUInt32LE(data.length, place + 14);
      out.writeUInt32LE(size, place + 18);
      out.writeUInt16LE(name.length, place + 22);
    };
    out.writeUInt32LE(CENTRAL, entry);
    out.writeUInt16LE(VERSION, entry + 4);
    fields(entry + 6);
    out.writeUInt32LE(at, entry + 42);
    out.set(name, entry + CENTRAL_SIZE);
    entry += CENTRAL_SIZE + name.length;
    out.writeUInt32LE(LOCAL, at);
    fields(at + 4);
    out.set(name, at + LOCAL_SIZE);
    out.set(data, at + LOCAL_SIZE + name.length);
    at += LOCAL_SIZE + name.length + data.length;
  }
  out.writeUInt32LE(END, entry);
  out.writeUInt16LE(packed.length, entry + 8);
  out.writeUInt16LE(packed.length, entry + 10);
  out.writeUInt32LE(list, entry + 12);
  out.writeUInt32LE(body, entry + 16);
  return plain(out);
}

/** The files of a ZIP archive by name. Errors: bytes that are no such archive, are cut short or fail their check throw. */
export function unzipBytes(bytes: Uint8Array): Readonly<Record<string, Uint8Array>> {
  const archive = Buffer.from(bytes.buffer, bytes.byteOffset, bytes.length);
  const end = archive.lastIndexOf(Buffer.from([0x50, 0x4b, 0x05, 0x06]));
  if (end < 0 || end + END_SIZE > archive.length) throw new Error('internal: no ZIP archive');
  const files: Record<string, Uint8Array> = {};
  let entry = archive.readUInt32LE(end + 16);
  for (let left = archive.readUInt16LE(end + 10); left > 0; left--) {
    if (entry + CENTRAL_SIZE > end || archive.readUInt32LE(entry) !== CENTRAL)
      throw new Error('internal: ZIP archive with a broken list');
    const [named, extra, comment] = [28, 30, 32].map((field) => archive.readUInt16LE(entry + field));
    const name = archive.toString('utf8', entry + CENTRAL_SIZE, entry + CENTRAL_SIZE + named!);
    files[name] = unpacked(archive, entry, name);
    entry += CENTRAL_SIZE + named! + extra! + comment!;
  }
  return files;
}

function unpacked(archive: Buffer, entry: number, name: string): Uint8Array {
  const [crc, packed, size] = [16, 20, 24].map((field) => archive.readUInt32LE(entry + field));
  const at = archive.readUInt32LE(entry + 42);
  if (at + LOCAL_SIZE > archive.length || archive.readUInt32LE(at) !== LOCAL)
    throw new Error(`internal: ZIP archive without ${name}`);
  const from = at + LOCAL_SIZE + archive.readUInt16LE(at + 26) + archive.readUInt16LE(at + 28);
  const data = archive.subarray(from, from + packed!);
  const method = archive.readUInt16LE(entry + 10);
  if (method !== STORE && method !== DEFLATE) throw new Error(`internal: ${name} is packed in an unknown way`);
  const bytes = method === STORE ? data : inflateRawSync(data, { maxOutputLength: Math.max(1, size!) });
  if (bytes.length !== size || crc32(bytes) !== crc) throw new Error(`internal: ${name} is broken in the ZIP archive`);
  return plain(bytes);
}

/** Node's own kind of bytes is another in comparisons. */
const plain = ({ buffer, byteOffset, length }: Uint8Array): Uint8Array => new Uint8Array(buffer, byteOffset, length);
