import type { Job } from '../job/job.ts';

/**
 * g/cm^3 of printed plastics, solid. Common practice: round figures of filament and resin makers' data sheets, which lie
 * within 3 percent of each other for one plastic.
 */
const DENSITY: Readonly<Record<Job['shop']['printer']['material'], number>> = {
  pla: 1.24,
  petg: 1.27,
  abs: 1.04,
  asa: 1.07,
  pa: 1.12,
  pc: 1.2,
  resin: 1.15,
};

/** Grams of a print without hollows, from its volume in mm^3: 10 cm^3 of PLA weigh 12.4 g. */
export const plasticMass = (volume: number, material: keyof typeof DENSITY): number =>
  (volume / 1000) * DENSITY[material];

export const plasticDensity = (material: keyof typeof DENSITY): number => DENSITY[material];
