import { facetsFor } from '../geometry/section.ts';
import { CURVE_BOW, SAMPLE_SPACING } from '../geometry/tolerance.ts';
import { generatorOf, meanPerimeter, outlineOn, tubeKinks, tubeReach } from '../geometry/tube-shape.ts';
import type { Mm } from '../geometry/vector.ts';
import { cutAt, type GeneratorCut, outward } from './generator.ts';
import type { CutCurve, CutSample, EndDefinition, Surface } from './solution.ts';

export type CurveFault = { readonly u: number; readonly cut: Exclude<GeneratorCut, { kind: 'cut' }> };
export type CurveOutcome =
  | { readonly curve: CutCurve }
  | { readonly faults: readonly CurveFault[]; readonly of: number };

/**
 * Trace s(u) all round: at every kink of the section and enough facets between for the chord tolerance, then more
 * wherever the curve bows by more than 0.002 mm off the chord or changes from one stop to the next (the change
 * itself becomes a sample), and the highest and lowest places themselves, which long and short point are measured at.
 * Any generator that is not cut makes the whole curve a list of faults.
 */
export function traceCurve(end: EndDefinition, surface: Surface, chordTolerance: Mm): CurveOutcome {
  const traced = baseSamples(end, chordTolerance).map((u) => ({ u, cut: cutAt(end, u, surface) }));
  const faults = traced.flatMap(({ u, cut }) => (cut.kind === 'cut' ? [] : [{ u, cut }]));
  if (faults.length > 0) return { faults, of: traced.length };
  const base = traced.flatMap(({ u, cut }) => (cut.kind === 'cut' ? [{ u, ...cut }] : []));
  const spacing = SAMPLE_SPACING / meanPerimeter(end.member);
  const samples: Sample[] = [];
  const lost: CurveFault[] = [];
  base.forEach((sample, i) => {
    samples.push(sample);
    const next = base[i + 1] ?? { ...base[0]!, u: base[0]!.u + 1 };
    refine({ end, surface, spacing, samples, lost }, [sample, next]);
  });
  if (lost.length > 0) return { faults: lost, of: samples.length };
  const turned = withTurns({ end, surface, spacing, samples, lost });
  return { curve: { surface, samples: turned.map((sample) => placed(end, sample)) } };
}

interface Sample {
  readonly u: number;
  readonly s: Mm;
  readonly stop: number;
  readonly depth: Mm;
}

/** u of the first samples: kinks, and equal steps between them, never fewer than 96 round the tube. */
export function baseSamples(end: EndDefinition, chordTolerance: Mm): readonly number[] {
  const kinks = tubeKinks(end.member);
  const around = Math.max(96, facetsFor(tubeReach(end.member), chordTolerance));
  const shortest = SAMPLE_SPACING / meanPerimeter(end.member);
  const us: number[] = [];
  kinks.forEach((from, i) => {
    const to = kinks[i + 1] ?? kinks[0]! + 1;
    const turn = turnBetween(end, from, to);
    // Flats need few samples of their own outline, arcs as many as their share of the full turn.
    const steps = Math.max(
      1,
      Math.min(Math.ceil(Math.max(turn * around, (to - from) * 48)), Math.floor((to - from) / shortest)),
    );
    for (let k = 0; k < steps; k++) us.push((from + ((to - from) * k) / steps) % 1);
  });
  // Both ends of a sharp corner's arc are one place on the tube; one of them is enough.
  const sorted = us.sort((p, q) => p - q);
  return sorted.filter((u, i) => i === 0 || u % 0.25 === 0 || u - sorted[i - 1]! > shortest / 2);
}

/** Share of a full turn that the outline's normal makes between two u. */
function turnBetween(end: EndDefinition, from: number, to: number): number {
  const eps = (to - from) * 1e-6;
  const [n, m] = [outlineOn(end.member, 0, from + eps).normal, outlineOn(end.member, 0, to - eps).normal];
  return Math.acos(Math.max(-1, Math.min(1, n[0] * m[0] + n[1] * m[1]))) / (2 * Math.PI);
}

interface Refinement {
  readonly end: EndDefinition;
  readonly surface: Surface;
  readonly spacing: number;
  readonly samples: Sample[];
  readonly lost: CurveFault[];
}

/** Adds the samples needed strictly between p and q; `half` is the sample in their middle where it is known. */
function refine(work: Refinement, [p, q]: readonly [Sample, Sample], half?: Sample): void {
  if (q.u - p.u < 2 * work.spacing) return;
  const change = p.stop === q.stop ? undefined : changeBetween(work, p, q);
  if (change === 'lost') return;
  const inside = change && change.u - p.u > work.spacing && q.u - change.u > work.spacing ? change : undefined;
  const middle = inside ?? half ?? sampleAt(work, (p.u + q.u) / 2, [p, q]);
  if (!middle) return;
  const bow = Math.abs(middle.s - (p.s + ((q.s - p.s) * (middle.u - p.u)) / (q.u - p.u)));
  let quarters: Quarters = [];
  if (!inside && bow <= CURVE_BOW) {
    // Where the middle hardly bows and the step is no longer than a first one, the quarters cannot bow by sixteen times as much.
    if (bow < CURVE_BOW / 16 && q.u - p.u < QUIET_STEP) return;
    quarters = [0.25, 0.75].map((k) => sampleAt(work, p.u + k * (q.u - p.u), [p, q]));
    if (!quarters.some((sample, i) => sample && bowsOff([p, q], sample, i === 0 ? 0.25 : 0.75))) return;
  }
  refine(work, [p, middle], quarters[0]);
  work.samples.push({ ...middle, u: middle.u % 1 });
  refine(work, [middle, q], quarters[1]);
}

type Quarters = readonly (Sample | undefined)[];

/** Shares of the turn: a hair more than the longest of the first steps. */
const QUIET_STEP = 1 / 95;

/** A curve may cross its chord in the middle; its quarters show it. */
const bowsOff = ([p, q]: readonly [Sample, Sample], sample: Sample, k: number): boolean =>
  Math.abs(sample.s - (p.s + (q.s - p.s) * k)) > CURVE_BOW;

/** The samples, and the turns of the curve between them that may be its highest or lowest place. */
function withTurns(work: Refinement): readonly Sample[] {
  const { samples } = work;
  const all = samples.map((sample) => sample.s);
  const [lowest, highest] = [Math.min(...all), Math.max(...all)];
  if (highest - lowest < CURVE_BOW) return samples;
  const count = samples.length;
  // Counted from a turn before, so that none lies below zero.
  const at = (i: number): Sample => {
    const sample = samples[(i + count) % count]!;
    return { ...sample, u: sample.u + Math.floor((i + count) / count) };
  };
  const turns = samples.flatMap((sample, i) => {
    const sign = highest - sample.s < 2 * CURVE_BOW ? 1 : sample.s - lowest < 2 * CURVE_BOW ? -1 : 0;
    const [before, here, after] = [at(i - 1), at(i), at(i + 1)];
    if (sign * (sample.s - before.s) < 0 || sign * (sample.s - after.s) < 0 || sign === 0) return [];
    const turn = turnNear(work, [before, here, after], sign);
    return turn ? [{ ...turn, u: turn.u % 1 }] : [];
  });
  return [...samples, ...turns].sort((p, q) => p.u - q.u);
}

/** Where the parabola through three samples turns, and again through the nearest of what that finds. */
function turnNear(
  work: Refinement,
  [before, sample, after]: readonly [Sample, Sample, Sample],
  sign: 1 | -1,
): Sample | undefined {
  let [a, b, c] = [before, sample, after];
  for (let round = 0; round < TURN_ROUNDS; round++) {
    const [left, right] = [(b.s - a.s) * (c.u - b.u), (b.s - c.s) * (b.u - a.u)];
    const u = b.u + ((c.u - b.u) * left - (b.u - a.u) * right) / (2 * (left + right));
    if (!(u > a.u && u < c.u) || Math.abs(u - b.u) < work.spacing / 8) break;
    const found = sampleAt(work, u, [before, after]);
    if (!found) return undefined;
    const better = sign * (found.s - b.s) > 0;
    if (found.u < b.u) [a, b, c] = better ? [a, found, b] : [found, b, c];
    else [a, b, c] = better ? [b, found, c] : [a, b, found];
  }
  const room = Math.min(Math.abs(b.u - sample.u), b.u - before.u, after.u - b.u);
  return room > work.spacing ? b : undefined;
}

/** Each narrows the turn by more than the one before; three usually do. */
const TURN_ROUNDS = 8;

/** Traced from a little before the cuts of its neighbors: what lies wholly before both lies before it too. */
function sampleAt(work: Refinement, u: number, [p, q]: readonly [Sample, Sample]): Sample | undefined {
  const near = outward(work.end, p.s);
  const far = outward(work.end, q.s);
  const margin = 2 + 2 * Math.abs(near - far) + 2 * meanPerimeter(work.end.member) * (q.u - p.u);
  const cut = cutAt(work.end, u % 1, work.surface, Math.min(near, far) - margin);
  if (cut.kind === 'cut') return { u, s: cut.s, stop: cut.stop, depth: cut.depth };
  work.lost.push({ u: u % 1, cut });
  return undefined;
}

/** Bisect the u where the stop changes from p's to another. */
function changeBetween(work: Refinement, p: Sample, q: Sample): Sample | 'lost' {
  let low = p;
  let high = q;
  for (let i = 0; i < 50 && high.u - low.u > 1e-12; i++) {
    const middle = sampleAt(work, (low.u + high.u) / 2, [p, q]);
    if (!middle) return 'lost';
    if (middle.stop === p.stop) low = middle;
    else high = middle;
  }
  return high;
}

const placed = (end: EndDefinition, sample: Sample): CutSample => ({
  ...sample,
  point: generatorOf(end.member, sample.u, sample.depth).pointAt(sample.s),
});
