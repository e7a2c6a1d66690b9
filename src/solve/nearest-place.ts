import { perimeter, sectionReach } from '../geometry/section.ts';
import { CLEARANCE_FOUND, SAME_PLACE } from '../geometry/tolerance.ts';
import type { Mm, Vec3 } from '../geometry/vector.ts';
import { type Chunk, chunkOf, chunksOf, type KeptTube, keptPoint } from './kept-tube.ts';

/** Something a tube may come near to. */
export interface Target {
  /** No point of the stretch is nearer than this; how it gets better as stretches get shorter decides how long the search takes. */
  readonly atLeast: (chunk: Chunk) => Mm;
  /** Signed distance of a point, negative inside. */
  readonly distanceAt: (p: Vec3) => Mm;
}

/** The place of a tube that is nearest to a target. */
export interface NearestPlace {
  readonly distance: Mm;
  readonly at: Vec3;
  /** Arc length along the member. */
  readonly s: Mm;
}

export interface Search {
  readonly target: Target;
  /** Only what is nearer than this is of interest. */
  readonly below: Mm;
  /** Stretches of the tube to look at; all of it unless given. */
  readonly chunks?: readonly Chunk[];
  /** Where in the wall to look, as shares of it from the outside; the outside alone unless given. */
  readonly layers?: readonly number[];
}

/** Samples round the tube, and along a stretch that is no longer than the tube is wide. */
const AROUND = 24;
const ALONG = 5;

/**
 * Nearest place of a tube, cut edges included, to a target: the most promising stretch is halved until it is
 * as short as the tube is wide, then sampled, and the best sample is walked downhill. To 0.01 mm; undefined where
 * nothing is nearer than `below`.
 */
export function nearestPlace(tube: KeptTube, search: Search): NearestPlace | undefined {
  const { target, below, chunks = tube.chunks } = search;
  const leaf = 2 * sectionReach(tube.section);
  const rank = (chunk: Chunk) => ({ chunk, least: target.atLeast(chunk) });
  const open = chunks.map(rank).filter(({ least }) => least < below);
  let best: NearestPlace | undefined;
  const limit = (): Mm => (best ? best.distance - CLEARANCE_FOUND : below);
  while (open.length > 0) {
    open.sort((p, q) => q.least - p.least);
    const { chunk, least } = open.pop()!;
    if (least >= limit()) break;
    if (chunk.to - chunk.from > leaf) open.push(...halves(tube, chunk).map(rank));
    else best = nearestIn(tube, chunk, { search, best });
  }
  return best;
}

function halves(tube: KeptTube, { segment, from, to }: Chunk): readonly Chunk[] {
  const middle = (from + to) / 2;
  return [chunkOf(tube, segment, [from, middle]), chunkOf(tube, segment, [middle, to])];
}

interface Sample {
  readonly u: number;
  readonly s: Mm;
  readonly depth: Mm;
  readonly distance: Mm;
}

function nearestIn(
  tube: KeptTube,
  chunk: Chunk,
  { search, best }: { readonly search: Search; readonly best: NearestPlace | undefined },
): NearestPlace | undefined {
  const sampleAt = (u: number, s: Mm, depth: Mm): Sample => ({
    u,
    s,
    depth,
    distance: search.target.distanceAt(keptPoint(tube, s, { u, depth })),
  });
  let least: Sample | undefined;
  for (const layer of search.layers ?? [0]) {
    const depth = layer * tube.section.wall;
    for (let i = 0; i < AROUND; i++) {
      const u = i / AROUND;
      const from = Math.max(chunk.from, tube.start.at(u, depth));
      const to = Math.min(chunk.to, tube.finish.at(u, depth));
      if (to < from) continue;
      for (let k = 0; k < ALONG; k++) {
        const sample = sampleAt(u, from + ((to - from) * k) / (ALONG - 1), depth);
        if (!least || sample.distance < least.distance) least = sample;
      }
    }
  }
  if (!least) return best;
  const limit = best?.distance ?? search.below;
  // No point between samples is nearer to one of them than this.
  const spacing = Math.hypot(perimeter(tube.section) / AROUND, (chunk.to - chunk.from) / (ALONG - 1)) / 2;
  if (least.distance - spacing > limit) return best;
  const found = walkDown(tube, least, { sampleAt, limit });
  if (!(found.distance < limit)) return best;
  return { distance: found.distance, at: keptPoint(tube, found.s, found), s: found.s };
}

/** Lines round the tube and steps to its width that an overlap is looked over by, and how many of its deepest samples are walked down from. */
const LOOKED = { around: 48, toWidth: 8, most: 400, starts: 8 } as const;

/**
 * Deepest place of a tube in a target, about a place where it is known to lie in it: wherever the stretch may lie deeper than
 * `below` it is sampled, and the deepest samples that are not next to each other are walked down from. To 0.01 mm where no dip
 * is narrower than an eighth of the tube.
 */
export function deepestPlace(
  tube: KeptTube,
  { target, from, to, below }: { readonly target: Target; readonly from: Mm; readonly to: Mm; readonly below: Mm },
): NearestPlace | undefined {
  const sampleAt = (u: number, s: Mm, depth: Mm): Sample => ({
    u,
    s,
    depth,
    distance: target.distanceAt(keptPoint(tube, s, { u, depth })),
  });
  const leaf = 2 * sectionReach(tube.section);
  const step = Math.max(leaf / LOOKED.toWidth, (to - from) / LOOKED.most);
  const within = (chunk: Chunk): readonly Chunk[] => {
    if (target.atLeast(chunk) >= below) return [];
    return chunk.to - chunk.from > leaf ? halves(tube, chunk).flatMap(within) : [chunk];
  };
  const samples: Sample[] = [];
  for (const chunk of chunksOf(tube, from, to).flatMap(within)) {
    for (let i = 0; i < LOOKED.around; i++) {
      const u = i / LOOKED.around;
      const low = Math.max(chunk.from, tube.start.at(u, 0));
      const high = Math.min(chunk.to, tube.finish.at(u, 0));
      if (high < low) continue;
      const count = Math.ceil((high - low) / step);
      for (let k = 0; k <= count; k++) samples.push(sampleAt(u, low + ((high - low) * k) / Math.max(1, count), 0));
    }
  }
  samples.sort((p, q) => p.distance - q.distance);
  const starts: Sample[] = [];
  for (const sample of samples) {
    if (starts.length === LOOKED.starts) break;
    if (starts.every((other) => apart(sample, other) > 1.5 || Math.abs(sample.s - other.s) > 1.5 * step))
      starts.push(sample);
  }
  const walked = starts.map((start) => walkDown(tube, start, { sampleAt, limit: Number.POSITIVE_INFINITY }));
  const [best] = walked.sort((p, q) => p.distance - q.distance);
  return best && { distance: best.distance, at: keptPoint(tube, best.s, best), s: best.s };
}

/** Samples round the tube between two. */
const apart = (p: Sample, q: Sample): number => {
  const turn = Math.abs(p.u - q.u);
  return LOOKED.around * Math.min(turn, 1 - turn);
};

const WAYS = [-1, 0, 1].flatMap((du) => [-1, 0, 1].map((ds) => [du, ds] as const)).filter(([du, ds]) => du || ds);

/** Downhill by steps round and along the tube, halved where no neighbor lies lower; given up where what is left of the way is too short. */
function walkDown(
  tube: KeptTube,
  from: Sample,
  { sampleAt, limit }: { readonly sampleAt: (u: number, s: Mm, depth: Mm) => Sample; readonly limit: Mm },
): Sample {
  const around = perimeter(tube.section);
  let best = from;
  let step: Mm = around / AROUND;
  while (step > CLEARANCE_FOUND / 4) {
    let lower: Sample | undefined;
    for (const [du, ds] of WAYS) {
      const u = (((best.u + (du * step) / around) % 1) + 1) % 1;
      const low = tube.start.at(u, best.depth);
      const high = Math.max(low, tube.finish.at(u, best.depth));
      const sample = sampleAt(u, Math.min(high, Math.max(low, best.s + ds * step)), best.depth);
      if (sample.distance < (lower ?? best).distance - SAME_PLACE) lower = sample;
    }
    if (lower) {
      best = lower;
      // Longer steps again, so that a flat valley is not walked inch by inch.
      step *= 2;
    } else if (best.distance - 4 * step > limit) return best;
    else step /= 2;
  }
  return best;
}
