import type { Bender, Saw, Shop } from './job.ts';
import type { Problem } from './problem.ts';
import type { RawShop } from './shop-schema.ts';
import { nameHint } from './suggest.ts';
import type { Units } from './units.ts';
import { lengthText, quoted } from './wording.ts';

/** Usual sizes, mm: bandsaw kerf 1.1 to 1.5, cold saw 2 to 2.5 (common practice, from memory). */
const USUAL: Readonly<Record<Saw['kind'], Omit<Saw, 'name' | 'kind'>>> = {
  'vertical-band': { kerf: 1.2, blade: 0.9, clearance: 0.3 },
  'top-down': { kerf: 2.4, blade: 2, clearance: 0.4 },
};

const USUAL_SAWS: readonly Saw[] = [
  { name: 'bandsaw', kind: 'vertical-band', ...USUAL['vertical-band'] },
  { name: 'chop-saw', kind: 'top-down', ...USUAL['top-down'] },
];

/** The shop with every default, and what does not fit together in it. */
export function shopSpec(raw: RawShop, units: Units): { shop: Shop; problems: Problem[] } {
  const problems: Problem[] = [];
  const saws =
    raw.saws && Object.keys(raw.saws).length > 0
      ? Object.entries(raw.saws).map(([name, saw]) => sawSpec(name, saw))
      : USUAL_SAWS;
  for (const saw of saws) {
    if (saw.blade <= saw.kerf) continue;
    problems.push({
      code: 'field/conflict',
      severity: 'error',
      path: ['shop', 'saws', saw.name, 'blade'],
      message: `the blade of ${saw.name} is ${lengthText(saw.blade, units)} thick, and its kerf ${lengthText(saw.kerf, units)}: a blade cuts at least its own thickness`,
      hint: 'measure the width of a cut for kerf, the body of the blade for blade',
      measured: saw.blade,
      limit: saw.kerf,
    });
  }
  const { printer, fit, wall, strap, labels } = raw;
  if (printer.layer >= printer.nozzle) {
    problems.push({
      code: 'field/conflict',
      severity: 'error',
      path: ['shop', 'printer', 'layer'],
      message: `layer is ${lengthText(printer.layer, units)}; a nozzle of ${lengthText(printer.nozzle, units)} lays less than that`,
      hint: 'half the nozzle is usual',
      measured: printer.layer,
      limit: printer.nozzle,
    });
  }
  const names = saws.map((saw) => saw.name);
  if (raw.saw !== undefined && !names.includes(raw.saw))
    problems.push(unknownSaw(raw.saw, { names, path: ['shop', 'saw'] }));
  const saw = raw.saw ?? (names.includes('bandsaw') ? 'bandsaw' : (names[0] ?? 'bandsaw'));
  const bender = raw.bender ? { bender: benderSpec(raw.bender) } : {};
  return {
    shop: { printer, fit, saws, saw, wall, strap, labels, chordTolerance: raw['chord-tolerance'], ...bender },
    problems,
  };
}

function benderSpec({ grip, first = grip, between = grip, last = grip, clr }: NonNullable<RawShop['bender']>): Bender {
  const known = Object.entries({ first, between, last, clr }).filter(([, value]) => value !== undefined);
  return Object.fromEntries(known);
}

function sawSpec(name: string, raw: NonNullable<RawShop['saws']>[string]): Saw {
  const usual = USUAL[raw.kind];
  const kerf = raw.kerf ?? Math.max(usual.kerf, raw.blade ?? 0);
  return {
    name,
    kind: raw.kind,
    kerf,
    blade: raw.blade ?? Math.min(usual.blade, kerf),
    clearance: raw.clearance ?? usual.clearance,
  };
}

export function unknownSaw(saw: string, { names, path }: { names: readonly string[]; path: Problem['path'] }): Problem {
  return {
    code: 'saw/unknown',
    severity: 'error',
    path,
    message: `there is no saw ${quoted(saw)} in the shop`,
    hint: nameHint(saw, names, 'saws'),
  };
}
