/** Shown on every job sheet. Softening points: vendors' data for PLA 55-65 C, PETG 75-85 C. */
export const CAUTIONS: readonly string[] = [
  'A printed guide is not a blade guard and does not replace one.',
  "Clamp the work. Keep hands off the feed line. Follow the saw's manual.",
  'Prints soften (PLA from about 55 C, PETG from about 75 C): take them off before welding, and keep tacks well away from them.',
  'Ventilate when welding stainless (hexavalent chromium) and zinc coatings.',
  'Deburr every cut edge.',
  'Check every dimension before cutting the good tube.',
  'Structural, pressure, fuel, gas and road-vehicle parts fall under local codes and licensed practice. This program does not check strength.',
];
