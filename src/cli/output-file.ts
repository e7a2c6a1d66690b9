/** A file as it is to stand in the job's folder. */
export interface OutputFile {
  readonly name: string;
  readonly bytes: Uint8Array;
}
