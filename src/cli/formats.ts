/** What a tool can be written as, in the order files are listed. */
export const FORMATS = ['stl', '3mf', 'png'] as const;
export type Format = (typeof FORMATS)[number];
