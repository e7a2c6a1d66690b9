import type { Mm } from '../geometry/vector.ts';
import type { Kernel } from '../solid/kernel.ts';
import type { HeldTube } from '../tooling/tool.ts';
import type { Facets } from './facets.ts';
import type { PartProof } from './facts.ts';
import { type Fit, measureFit } from './fit.ts';
import { measureInsertion } from './insertion.ts';
import type { Measured } from './problem.ts';
import { type Tube, tubeOf } from './tube.ts';

/** A tube in its place in a part, with what was measured round it. */
export interface Held {
  readonly name: string;
  readonly tube: Tube;
  readonly fit: Fit;
  readonly overlap: number;
}

/** Clearance and way in of one tube. */
export function measureHeld(
  facets: Facets,
  { kernel, held, chordTolerance }: { readonly kernel: Kernel; readonly held: HeldTube; readonly chordTolerance: Mm },
): Measured<Held> {
  const tube = tubeOf(held);
  const fit = measureFit(facets, { tube, held, chordTolerance });
  const insertion = measureInsertion(facets, { kernel, tube, held, fit: fit.value, chordTolerance });
  const value = { name: held.member.name, tube, fit: fit.value, overlap: insertion.value };
  return { value, faults: [...fit.faults, ...insertion.faults] };
}

/** The tightest and the loosest of all tubes. */
export function heldFacts(held: readonly Held[]): Pick<PartProof, 'overlap' | 'clearance'> {
  if (held.length === 0) return {};
  const clearances = held.map(({ fit }) => fit.clearance);
  return {
    overlap: Math.max(...held.map(({ overlap }) => overlap)),
    clearance: {
      least: Math.min(...clearances.map(({ least }) => least)),
      most: Math.max(...clearances.map(({ most }) => most)),
      cover: Math.min(...clearances.map(({ cover }) => cover)),
    },
  };
}
