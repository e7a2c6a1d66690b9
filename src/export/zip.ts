import { deflateRawSync } from 'node:zlib';
import { unzipSync, Zip, ZipPassThrough } from 'fflate';

export interface ZipFile {
  readonly name: string;
  readonly bytes: Uint8Array;
  /** As it is: what is packed already. */
  readonly stored?: boolean;
}

/** PKWARE APPNOTE 6.3, 4.4.5. */
const DEFLATE = 8;
/** Of node's deflate: as small as at 5 or 6 within a twentieth, in half the time. */
const LEVEL = 4;
/** The first day the format knows, by the clock on the wall, which is how archives count. */
const firstDay = (): Date => new Date(1980, 0, 1);

/** A file packed whole by node's own deflate, several times faster than one in the language itself. */
class DeflatedFile extends ZipPassThrough {
  override readonly compression = DEFLATE;

  protected override process(chunk: Uint8Array, final: boolean): void {
    this.ondata(null, deflateRawSync(chunk, { level: LEVEL }), final);
  }
}

/** A ZIP archive, files in the order given; the same files give the same bytes whenever and wherever they are written. */
export function zipBytes(files: readonly ZipFile[]): Uint8Array {
  const chunks: Uint8Array[] = [];
  const archive = new Zip((fault, chunk) => {
    if (fault) throw fault;
    chunks.push(chunk);
  });
  for (const { name, bytes, stored } of files) {
    const file = stored ? new ZipPassThrough(name) : new DeflatedFile(name);
    file.mtime = firstDay();
    archive.add(file);
    file.push(bytes, true);
  }
  archive.end();
  return new Uint8Array(Buffer.concat(chunks));
}

/** The files of a ZIP archive by name. Errors: bytes that are no such archive throw. */
export const unzipBytes = (bytes: Uint8Array): Readonly<Record<string, Uint8Array>> => unzipSync(bytes);
