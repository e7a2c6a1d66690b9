import { besideAt, type Centerline, extended, frameAt, type Segment } from '../geometry/centerline.ts';
import { type Chord, chordDistance } from '../geometry/chord.ts';
import { besideSegment, segmentSideDistance } from '../geometry/distance.ts';
import { type Outline, outlineTable } from '../geometry/outline-table.ts';
import { type Section, sectionReach } from '../geometry/section.ts';
import { generatorOf, isTapered } from '../geometry/tube-shape.ts';
import { surfacePlace } from '../geometry/tube-surface.ts';
import { along, type Deg, distance, dot, type Mm, sub, type Vec3 } from '../geometry/vector.ts';
import { curveS } from './pieces.ts';
import type { CutEnd, Piece } from './solution.ts';

/** What is left of a member between its cuts, to measure how near other things come to it; s runs as in the member. */
export interface KeptTube {
  readonly name: string;
  readonly section: Section;
  readonly outline: Outline;
  /** Carried straight on where a cut lies beyond the drawn end. */
  readonly line: Centerline;
  /** s of the member at the start of `line`. */
  readonly s0: Mm;
  readonly start: KeptEnd;
  readonly finish: KeptEnd;
  /** Lowest and highest s of any of its metal. */
  readonly from: Mm;
  readonly to: Mm;
  readonly chunks: readonly Chunk[];
}

interface KeptEnd {
  /** s of the cut on the generator at u, `depth` below the outside; below the wall as at its inside. */
  readonly at: (u: number, depth: Mm) => Mm;
  /** No metal is cut away farther inward than here. */
  readonly clear: Mm;
  readonly plane?: { readonly point: Vec3; readonly normal: Vec3 };
}

/** A stretch of tube and a capsule that holds it: no point of it is farther than `radius` from the chord. */
export interface Chunk {
  readonly segment: Segment;
  readonly from: Mm;
  readonly to: Mm;
  readonly chord: Chord;
  readonly radius: Mm;
}

/** Turn of the longest stretch of a bend that one capsule holds: its bow is a thirtieth of clr. */
const CHUNK_TURN: Deg = 30;

/** What is left of a piece; an outline made before for the same section may be handed in. */
export function keptTube(piece: Piece, outline: Outline = outlineTable(piece.member.section)): KeptTube {
  const { member, startEnd, finishEnd } = piece;
  const { section, centerline, name } = member;
  const [low, high] = [extremes(startEnd, 0), extremes(finishEnd, centerline.length)];
  const [from, to] = [low.least, high.most];
  const before = Math.max(0, -from);
  const after = Math.max(0, to - centerline.length);
  const line = before > 0 || after > 0 ? extended(centerline, before, after) : centerline;
  const tube = { name, section, line, s0: -before, from, to };
  return {
    ...tube,
    outline,
    start: keptEnd(startEnd, { plain: 0, clear: low.most }),
    finish: keptEnd(finishEnd, { plain: centerline.length, clear: high.least }),
    chunks: chunksOf(tube, from, to),
  };
}

function extremes(end: CutEnd | undefined, plain: Mm): { readonly least: Mm; readonly most: Mm } {
  if (!end) return { least: plain, most: plain };
  let [least, most] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
  for (const { samples } of [end.curves.outer, end.curves.inner]) {
    for (const { s } of samples) {
      least = Math.min(least, s);
      most = Math.max(most, s);
    }
  }
  return { least, most };
}

function keptEnd(end: CutEnd | undefined, { plain, clear }: { readonly plain: Mm; readonly clear: Mm }): KeptEnd {
  if (!end) return { at: () => plain, clear };
  const { outer, inner } = end.curves;
  const wall = end.member.section.wall;
  return {
    clear,
    at: (u, depth) => {
      const s = curveS(outer, u);
      const share = Math.min(1, Math.max(0, depth / wall));
      return share === 0 ? s : s + (curveS(inner, u) - s) * share;
    },
    ...(end.flat ? { plane: end.flat.plane } : {}),
  };
}

type Swept = Pick<KeptTube, 'section' | 'line' | 's0'>;

/** Stretches of the tube from s to s, none over two segments nor longer than a capsule may be. */
export function chunksOf(tube: Swept, from: Mm, to: Mm): readonly Chunk[] {
  return tube.line.segments.flatMap((segment) => {
    const low = Math.max(from, tube.s0 + segment.s0);
    const high = Math.min(to, tube.s0 + segment.s0 + segment.length);
    if (!(high > low)) return [];
    const turn = segment.kind === 'bend' ? (segment.bendAngleDeg * (high - low)) / segment.length : 0;
    const steps = Math.max(1, Math.ceil(turn / CHUNK_TURN));
    return Array.from({ length: steps }, (_, i) =>
      chunkOf(tube, segment, [low + ((high - low) * i) / steps, low + ((high - low) * (i + 1)) / steps]),
    );
  });
}

export function chunkOf(tube: Swept, segment: Segment, [from, to]: readonly [Mm, Mm]): Chunk {
  const at = (s: Mm): Vec3 => frameAt(tube.line, s - tube.s0).origin;
  const chord = { from: at(from), to: at(to) };
  const bow = segment.kind === 'bend' ? segment.clr * (1 - Math.cos((to - from) / segment.clr / 2)) : 0;
  return { segment, from, to, chord, radius: segmentReach(segment, tube.section) + bow };
}

const segmentReach = (segment: Segment, first: Section): Mm =>
  segment.kind === 'taper'
    ? Math.max(sectionReach(segment.from), sectionReach(segment.to))
    : sectionReach(segment.section ?? first);

/** Point of the tube on the generator at u, `depth` below its outside. */
export function keptPoint(tube: KeptTube, s: Mm, { u, depth }: { readonly u: number; readonly depth: Mm }): Vec3 {
  const shape = { section: tube.section, centerline: tube.line };
  if (isTapered(shape)) return generatorOf(shape, u, depth).pointAt(s - tube.s0);
  const [a, b] = tube.outline.at(u, depth);
  return besideAt(tube.line, s - tube.s0, a, b);
}

/** How near a point is to a tube. */
export interface Nearness {
  /** Signed distance from the tube taken for a solid bar, mm. */
  readonly bar: Mm;
  /** The same from its metal: in the bore it is positive. */
  readonly metal: Mm;
}

/** Least nearness of a point to the stretches of a tube, up to its cuts. Exact beside the tube and past a square end. */
export function nearness(tube: KeptTube, chunks: readonly Chunk[], p: Vec3): Nearness {
  let bar = Number.POSITIVE_INFINITY;
  let metal = Number.POSITIVE_INFINITY;
  for (const chunk of chunks) {
    if (chunk.segment.kind === 'bend' && distance(p, chunk.segment.center) - chunk.segment.clr - chunk.radius > bar)
      continue;
    const { s: at, a, b } = besideSegment(chunk.segment, p);
    const s = at + tube.s0;
    const d = segmentSideDistance(chunk.segment, tube.section, p);
    let past = s >= chunk.from && s <= chunk.to ? Number.NEGATIVE_INFINITY : Math.max(chunk.from - s, s - chunk.to);
    // Between stretches there is no end: a point alongside counts as deep inside.
    const early = tube.start.clear - s;
    const late = s - tube.finish.clear;
    past = Math.max(past, early > 0 ? pastCut(tube, tube.start, { s, d, a, b, p }) : early);
    past = Math.max(past, late > 0 ? pastCut(tube, tube.finish, { s, d, a, b, p }) : late);
    bar = Math.min(bar, both(d, past));
    const { wall } = chunk.segment.kind === 'taper' ? chunk.segment.from : (chunk.segment.section ?? tube.section);
    metal = Math.min(metal, both(Math.abs(d + wall / 2) - wall / 2, past));
  }
  return { bar, metal };
}

const both = (d: Mm, past: Mm): Mm => (d > 0 && past > 0 ? Math.sqrt(d * d + past * past) : Math.max(d, past));

interface Place {
  readonly s: Mm;
  readonly d: Mm;
  readonly a: Mm;
  readonly b: Mm;
  readonly p: Vec3;
}

/** How far a place lies outward of a cut; square to it where it is flat, else along the tube. */
function pastCut(tube: KeptTube, end: KeptEnd, { s, d, a, b, p }: Place): Mm {
  if (end.plane) return dot(sub(p, end.plane.point), end.plane.normal);
  const shape = { section: tube.section, centerline: tube.line };
  const u = isTapered(shape) ? surfacePlace(shape, p).u : tube.outline.uOf(a, b);
  const past = s - end.at(u, -d);
  return end === tube.start ? -past : past;
}

/** No point of the stretch is nearer to the others than this. */
export const leastBetween = (chunk: Chunk, others: readonly Chunk[]): Mm => {
  let least = Number.POSITIVE_INFINITY;
  for (const other of others) {
    const d = chordDistance(chunk.chord, other.chord) - chunk.radius - other.radius;
    if (d < least) least = d;
  }
  return least;
};

/** The place halfway along a chunk, and how far its ends are from there. */
export const middleOf = ({ chord, radius }: Chunk): { readonly at: Vec3; readonly reach: Mm } => ({
  at: along(chord.from, sub(chord.to, chord.from), 0.5),
  reach: distance(chord.from, chord.to) / 2 + radius,
});
