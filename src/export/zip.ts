import { deflateRawSync, inflateRawSync } from 'node:zlib';
import { Zip, type ZipInputFile } from 'fflate';
import { crc32 } from './crc32.ts';

export interface ZipFile {
  readonly name: string;
  readonly bytes: Uint8Array;
  /** As it is: what is packed already. */
  readonly stored?: boolean;
}

/** PKWARE APPNOTE 6.3, 4.4.5. */
const STORED = 0;
const DEFLATE = 8;
/** Of node's deflate: a seventh larger than at 4, in seven tenths of the time. */
const LEVEL = 2;
/** The first day the format knows, by the clock on the wall, which is how archives count. */
const firstDay = (): Date => new Date(1980, 0, 1);

/**
 * A ZIP archive, files in the order given; the same files give the same bytes whenever and wherever they are written. Packed
 * whole by node's own deflate, several times faster than one in the language itself.
 */
export function zipBytes(files: readonly ZipFile[]): Uint8Array {
  const chunks: Uint8Array[] = [];
  const archive = new Zip((fault, chunk) => {
    if (fault) throw fault;
    chunks.push(chunk);
  });
  for (const { name, bytes, stored } of files) {
    const file: ZipInputFile = {
      filename: name,
      size: bytes.length,
      crc: crc32(bytes),
      compression: stored ? STORED : DEFLATE,
      mtime: firstDay(),
    };
    archive.add(file);
    file.ondata?.(null, stored ? bytes.slice() : deflateRawSync(bytes, { level: LEVEL }), true);
  }
  archive.end();
  return new Uint8Array(Buffer.concat(chunks));
}

/** PKWARE APPNOTE 6.3, 4.3.7, 4.3.12 and 4.3.16: how the three kinds of records begin, and their lengths without names. */
const LOCAL = { mark: 0x04034b50, length: 30 } as const;
const ENTRY = { mark: 0x02014b50, length: 46 } as const;
const END = { mark: 0x06054b50, length: 22 } as const;

/**
 * The files of a ZIP archive by name, each compared with its length and check sum. Errors: bytes that are no such archive,
 * and files that are not what the archive says of them, throw.
 */
export function unzipBytes(bytes: Uint8Array): Readonly<Record<string, Uint8Array>> {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.length);
  let end = bytes.length - END.length;
  while (end >= 0 && view.getUint32(end, true) !== END.mark) end--;
  if (end < 0) throw new Error('internal: not a ZIP archive');
  const files: Record<string, Uint8Array> = {};
  let at = view.getUint32(end + 16, true);
  for (let left = view.getUint16(end + 10, true); left > 0; left--) {
    if (view.getUint32(at, true) !== ENTRY.mark) throw new Error('internal: ZIP archive with a broken list of files');
    const lengths = [28, 30, 32].map((field) => view.getUint16(at + field, true)) as [number, number, number];
    const name = Buffer.from(bytes.subarray(at + ENTRY.length, at + ENTRY.length + lengths[0])).toString();
    files[name] = unpackedFile(bytes, view, { name, at });
    at += ENTRY.length + lengths[0] + lengths[1] + lengths[2];
  }
  return files;
}

/** The file whose entry in the list stands at a place. */
function unpackedFile(
  bytes: Uint8Array,
  view: DataView,
  { name, at }: { readonly name: string; readonly at: number },
): Uint8Array {
  const method = view.getUint16(at + 10, true);
  const size = view.getUint32(at + 24, true);
  const local = view.getUint32(at + 42, true);
  if (view.getUint32(local, true) !== LOCAL.mark)
    throw new Error(`internal: ${name} is not where its ZIP archive says`);
  const from = local + LOCAL.length + view.getUint16(local + 26, true) + view.getUint16(local + 28, true);
  const packed = bytes.subarray(from, from + view.getUint32(at + 20, true));
  if (method !== STORED && method !== DEFLATE) throw new Error(`internal: ${name} is packed by method ${method}`);
  // In one piece: no more is made of it than there is to be.
  const room = { chunkSize: Math.max(64, size), maxOutputLength: Math.max(1, size) };
  const file = method === STORED ? packed.slice() : new Uint8Array(inflateRawSync(packed, room));
  if (file.length !== size || crc32(file) !== view.getUint32(at + 16, true))
    throw new Error(`internal: ${name} is not what its ZIP archive says of it`);
  return file;
}
