import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

const PACKAGE = 'poppler-utils';

function poppler(command: string, args: readonly string[], input?: Uint8Array): Buffer {
  const ran = spawnSync(command, args, { ...(input ? { input } : {}), maxBuffer: 1 << 30 });
  if (ran.error) throw new Error(`${command} is missing: install the Debian package ${PACKAGE}`, { cause: ran.error });
  if (ran.status !== 0) throw new Error(`${command} exit ${ran.status}: ${ran.stderr.toString()}`);
  return ran.stdout;
}

function withFile<T>(pdf: Uint8Array, use: (path: string) => T): T {
  const folder = mkdtempSync(join(tmpdir(), 'kerfwright-paper-'));
  try {
    const path = join(folder, 'sheet.pdf');
    writeFileSync(path, pdf);
    return use(path);
  } finally {
    rmSync(folder, { recursive: true });
  }
}

/** Text of a PDF, laid out as on the page. */
export const pdfText = (pdf: Uint8Array): string =>
  withFile(pdf, (path) => poppler('pdftotext', ['-layout', path, '-']).toString('utf8'));

/** Fields that pdfinfo prints. */
export function pdfInfo(pdf: Uint8Array): ReadonlyMap<string, string> {
  const out = withFile(pdf, (path) => poppler('pdfinfo', [path]).toString('utf8'));
  return new Map(
    out.split('\n').map((line) => [line.slice(0, line.indexOf(':')), line.slice(line.indexOf(':') + 1).trim()]),
  );
}

/** A page as gray pixels, 0 black. */
export interface Raster {
  readonly width: number;
  readonly height: number;
  readonly pixels: Uint8Array;
  readonly perMm: number;
}

/** A page of a PDF, rendered by poppler at so many pixels a millimeter; pages count from 1. */
export function rasterize(
  pdf: Uint8Array,
  { page = 1, perMm = 20 }: { readonly page?: number; readonly perMm?: number } = {},
): Raster {
  return withFile(pdf, (path) => {
    const args = [
      '-f',
      String(page),
      '-l',
      String(page),
      '-r',
      String(perMm * 25.4),
      '-gray',
      '-singlefile',
      path,
      `${path}-out`,
    ];
    poppler('pdftoppm', args);
    return { ...readPgm(readFileSync(`${path}-out.pgm`)), perMm };
  });
}

function readPgm(bytes: Buffer): Omit<Raster, 'perMm'> {
  const head = /^P5\s+(\d+)\s+(\d+)\s+255\s/.exec(bytes.subarray(0, 64).toString('latin1'));
  if (!head) throw new Error('not a gray picture of 8 bits');
  const [width, height] = [Number(head[1]), Number(head[2])];
  return { width, height, pixels: bytes.subarray(head[0].length, head[0].length + width * height) };
}

/**
 * Middles of the lines crossed on the way from `from` to `to` (mm, along x or along y), by the weight of their darkness:
 * mm from the page's left or top.
 */
export function linesCrossed(
  raster: Raster,
  way: { readonly along: 'x' | 'y'; readonly at: number; readonly from: number; readonly to: number },
): readonly number[] {
  const { perMm, width, pixels } = raster;
  const across = Math.floor(way.at * perMm);
  const dark = (i: number): number => 255 - pixels[way.along === 'x' ? across * width + i : i * width + across]!;
  const found: number[] = [];
  let [weight, moment] = [0, 0];
  for (let i = Math.floor(way.from * perMm); i <= Math.floor(way.to * perMm); i++) {
    if (dark(i) > 8) {
      weight += dark(i);
      moment += dark(i) * (i + 0.5);
    } else if (weight > 0) {
      found.push(moment / weight / perMm);
      [weight, moment] = [0, 0];
    }
  }
  return found;
}
