import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { inflateSync } from 'node:zlib';

const BROWSER = 'chromium';

/** What a browser made of a page that it opened from a file, without a network. */
export interface Opened {
  /** Lines that the page put on the console, errors among them. */
  readonly console: readonly string[];
  readonly dom: string;
  /** Screen rows, three or four bytes a pixel. */
  readonly screen: { readonly width: number; readonly height: number; readonly bytes: Uint8Array };
}

/** Opens a page of HTML in headless Chromium on a screen of this size; every name on the network is made not to be found. */
export function openPage(html: string, size: readonly [number, number]): Opened {
  const folder = mkdtempSync(join(tmpdir(), 'kerfwright-page-'));
  try {
    const [page, shot] = [join(folder, 'page.html'), join(folder, 'screen.png')];
    writeFileSync(page, html);
    const browse = (more: readonly string[]) => {
      const ran = spawnSync(
        BROWSER,
        [
          '--headless',
          '--no-sandbox',
          '--disable-gpu',
          '--hide-scrollbars',
          '--enable-logging=stderr',
          '--host-resolver-rules=MAP * ~NOTFOUND',
          `--user-data-dir=${join(folder, 'profile')}`,
          `--window-size=${size.join(',')}`,
          ...more,
          `file://${page}`,
        ],
        { maxBuffer: 1 << 28, timeout: 90_000 },
      );
      if (ran.error)
        throw new Error(`${BROWSER} did not run: install the Debian package ${BROWSER}`, { cause: ran.error });
      if (ran.status !== 0) throw new Error(`${BROWSER} exit ${ran.status}: ${ran.stderr.toString()}`);
      return ran;
    };
    browse([`--screenshot=${shot}`]);
    const { stdout, stderr } = browse(['--dump-dom']);
    const lines = stderr.toString().split('\n');
    return {
      console: lines.filter((line) => line.includes(':CONSOLE')),
      dom: stdout.toString(),
      screen: readPng(readFileSync(shot)),
    };
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

/** Unpacked rows of a PNG of 8 bits a channel, filters undone (ISO/IEC 15948, clause 9). */
export function readPng(bytes: Buffer): Opened['screen'] {
  const [width, height] = [bytes.readUInt32BE(16), bytes.readUInt32BE(20)];
  const channels = bytes[25] === 6 ? 4 : 3;
  const packed: Buffer[] = [];
  for (let at = 8; at < bytes.length; ) {
    const length = bytes.readUInt32BE(at);
    if (bytes.toString('latin1', at + 4, at + 8) === 'IDAT') packed.push(bytes.subarray(at + 8, at + 8 + length));
    at += length + 12;
  }
  const raw = inflateSync(Buffer.concat(packed));
  const row = width * channels;
  const out = new Uint8Array(row * height);
  for (let y = 0; y < height; y++) {
    const filter = raw[y * (row + 1)]!;
    for (let x = 0; x < row; x++) {
      const a = x < channels ? 0 : out[y * row + x - channels]!;
      const b = y === 0 ? 0 : out[(y - 1) * row + x]!;
      const c = x < channels || y === 0 ? 0 : out[(y - 1) * row + x - channels]!;
      const p = a + b - c;
      const [pa, pb, pc] = [Math.abs(p - a), Math.abs(p - b), Math.abs(p - c)];
      const paeth = pa <= pb && pa <= pc ? a : pb <= pc ? b : c;
      const guess = [0, a, b, (a + b) >> 1, paeth][filter]!;
      out[y * row + x] = raw[y * (row + 1) + 1 + x]! + guess;
    }
  }
  return { width, height, bytes: out };
}
