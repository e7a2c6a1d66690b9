/** What a material weighs and how it grows with heat. */
export interface Material {
  /** The name that its other names stand for. */
  readonly name: string;
  /** g/cm3. */
  readonly density: number;
  /** Linear, 1e-6 per degree C, from room temperature to about 100 C. */
  readonly expansion: number;
  readonly family: 'stainless' | 'carbon' | 'aluminum' | 'titanium' | 'copper';
}

/**
 * 304: ASM data sheet. 409, 1020, 6061 and titanium: W. D. Callister, Materials Science and Engineering, appendix B, but for
 * the expansion of 409. That and the others are from memory, common data sheet values.
 */
const MATERIALS: readonly Material[] = [
  { name: '304', density: 8.0, expansion: 17.3, family: 'stainless' },
  { name: '316', density: 8.0, expansion: 16.0, family: 'stainless' },
  { name: '409', density: 7.74, expansion: 11.7, family: 'stainless' },
  { name: '1020', density: 7.87, expansion: 11.7, family: 'carbon' },
  { name: '4130', density: 7.85, expansion: 11.2, family: 'carbon' },
  { name: '6061', density: 2.7, expansion: 23.6, family: 'aluminum' },
  { name: '6063', density: 2.7, expansion: 23.4, family: 'aluminum' },
  { name: '5052', density: 2.68, expansion: 23.8, family: 'aluminum' },
  { name: 'titanium', density: 4.51, expansion: 8.6, family: 'titanium' },
  { name: 'copper', density: 8.94, expansion: 17.0, family: 'copper' },
  { name: 'brass', density: 8.53, expansion: 19.9, family: 'copper' },
];

/** Other names, as they stand on drawings and bundles; numbers with a point are of EN 10027-2. Near kin share a row. */
const OTHER_NAMES: Readonly<Record<string, readonly string[]>> = {
  '304': ['304l', '1.4301', '1.4307', 'stainless', 'inox', '18/8', 'a2', '321', '1.4541'],
  '316': ['316l', '316ti', '1.4401', '1.4404', '1.4571', 'a4'],
  '409': ['409l', '1.4512', '439', '441', '1.4509', '1.4510'],
  '1020': [
    'steel',
    'mild',
    'carbon',
    'lowcarbon',
    '1008',
    '1010',
    '1018',
    '1025',
    '1026',
    'dom',
    'erw',
    'cds',
    'crew',
    'a513',
    'a500',
    'a53',
    'a36',
    's235',
    's235jr',
    's275',
    's355',
    'e195',
    'e235',
    'e355',
    'st37',
    'galvanized',
    'galvanised',
  ],
  '4130': ['chromoly', 'cromoly', 'chromemoly', '25crmo4', '1.7218'],
  '6061': ['6061t6', '6061t4', 'aluminum', 'aluminium', '6082', '6082t6', 'alu'],
  '6063': ['6063t5', '6063t6', '6063t52', '6060', '6060t6'],
  '5052': ['5052h32', '5754'],
  titanium: ['ti', 'grade2', 'gr2', 'cp', 'cp2', 'cpti', 'tigrade2', 'tigr2', '3.7035'],
  copper: ['cu', 'c12200', 'c11000', 'cudhp'],
  brass: ['c26000', 'c260', 'cuzn30', 'cuzn37'],
};

const BY_NAME: ReadonlyMap<string, Material> = new Map(
  MATERIALS.flatMap((material) =>
    [material.name, ...(OTHER_NAMES[material.name] ?? [])].map((name) => [name, material] as const),
  ),
);

/** Words that add nothing to the name: who numbers it, or that it is a steel. */
const BESIDE = /\b(?:aisi|sae|astm|asme|en|din|uns|ss|grade|type|alloy|tube|tubing|pipe)\b/g;

/** What it is made of, beside a number that says more. */
const FAMILY = /\b(?:alumini?um|stainless|carbon|mild|steel|titanium|copper)\b/g;

/** The material a name stands for: `304`, `SS 304L`, `AISI 304`, `6061-T6`, `mild steel`; undefined where it is not known. */
export function materialNamed(name: string): Material | undefined {
  const text = name.toLowerCase().replaceAll('_', ' ');
  const packed = (words: string): string => words.replace(/[\s()-]+/g, '').replace(/(?<=.)(?:steel)$/, '');
  const glued = text.trim().replace(/^ss(?=\d)/, '');
  const bare = text.replace(BESIDE, ' ');
  const tries = [
    packed(text),
    packed(bare),
    packed(glued),
    text.replace(/[\s()-]+/g, ''),
    packed(bare.replace(FAMILY, ' ')),
  ];
  for (const known of tries.map((name_) => BY_NAME.get(name_))) if (known) return known;
  return undefined;
}
