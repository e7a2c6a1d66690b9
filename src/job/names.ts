import { COUNTS } from './limits.ts';
import type { Complaint } from './units.ts';
import { quoted } from './wording.ts';

/** Job and tool names: they become file names, and are engraved, so plain letters only. */
export const FILE_NAME = /^[A-Za-z0-9](?:[A-Za-z0-9._-]*[A-Za-z0-9_-])?$/;
/** Names inside a job; no point, which parts member and end in `leg.end`. */
export const PART_NAME = /^[A-Za-z0-9_-]*[A-Za-z][A-Za-z0-9_-]*$/;
/** Device names that some systems take for any file name of that stem. */
const DEVICES = /^(?:con|prn|aux|nul|com[0-9]|lpt[0-9])$/i;

/** Why a text cannot be a name; undefined when it can. `file` names may hold points, part names need a letter. */
export function nameComplaint(name: string, kind: 'file' | 'part'): Complaint | undefined {
  const refuse = (why: string, hint: string): Complaint => ({
    code: 'field/name',
    message: `${quoted(name)} ${why}`,
    hint,
  });
  if (name === '') return { code: 'field/name', message: 'the name is empty', hint: 'write a name' };
  if (name.length > COUNTS.nameLength) {
    return refuse(`has ${name.length} characters; a name has at most ${COUNTS.nameLength}`, 'shorten it');
  }
  if (DEVICES.test(name.split('.')[0]!))
    return refuse('is a device name on some systems, not a file name', 'choose another name');
  if (kind === 'file') {
    if (/[/\\]/.test(name)) return refuse('is a path, not a name', 'choose the folder with --out');
    if (name.endsWith('.')) return refuse('ends with a point', 'take the point away');
    if (!FILE_NAME.test(name))
      return refuse('is not a name', 'use letters a-z, digits, - _ and . and begin with a letter or digit');
    return undefined;
  }
  if (name === '<<')
    return refuse(
      'is a merge key, which YAML 1.2 does not have',
      'write the fields out, or put an alias in place of a whole value',
    );
  if (name === '__proto__' || !PART_NAME.test(name))
    return refuse('is not a name', 'use letters a-z, digits, - and _, with at least one letter');
  return undefined;
}
