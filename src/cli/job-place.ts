import { join } from 'node:path';
import { MANIFEST_NAME } from '../export/manifest.ts';

/** Where a job's files go and what they are called there. */
export interface JobPlace {
  readonly job: string;
  /** As shown, from the working folder. */
  readonly folder: string;
  /** Put before the name of every file; a flat folder holds many jobs, whose tools may have the same names. */
  readonly prefix: string;
  readonly names: PlaceNames;
}

/** Names of our own files in a job's folder. */
export interface PlaceNames {
  readonly manifest: string;
  /** Names what is being put in place while it is, so that a build that is cut off knows its own files again. */
  readonly pending: string;
}

export const OWN_FOLDER: PlaceNames = { manifest: MANIFEST_NAME, pending: '.kerfwright-pending.part' };

/** A folder for each job, or all jobs in one that a slicer opens its files from. */
export const placeOf = (job: string, { out, flat }: { readonly out: string; readonly flat: boolean }): JobPlace =>
  flat
    ? {
        job,
        folder: out,
        prefix: `${job}-`,
        names: { manifest: `${job}.manifest.json`, pending: `.kerfwright-${job}-pending.part` },
      }
    : { job, folder: join(out, job), prefix: '', names: OWN_FOLDER };
