import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';
import type { ViewScript } from '../export/sheet-view.ts';
import { systemCode } from './io.ts';

/** Where the build puts it: beside the built code, and for the source tree in its `dist`. */
const PLACES = ['../viewer/view.js', '../../dist/viewer/view.js'];

/** The script that draws the 3D view on the job sheet's page; none in a source tree that was never built. */
export function viewScript(): ViewScript | undefined {
  for (const place of PLACES) {
    const text = textAt(new URL(place, import.meta.url));
    if (text !== undefined) return { text, sha256: createHash('sha256').update(text).digest('base64') };
  }
  return undefined;
}

function textAt(place: URL): string | undefined {
  try {
    return readFileSync(place, 'utf8');
  } catch (thrown) {
    if (systemCode(thrown) === 'ENOENT') return undefined;
    throw thrown;
  }
}
