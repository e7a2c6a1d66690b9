import { acosd, atan2d, turnDeg } from '../geometry/angle.ts';
import { frameAt } from '../geometry/centerline.ts';
import type { Frame } from '../geometry/frame.ts';
import { placementFrom } from '../geometry/placement.ts';
import { perimeter } from '../geometry/section.ts';
import { LEAST_WALL, LETTER_DEPTH, TILTED_STEPS } from '../geometry/tolerance.ts';
import { isTapered, outlineOn } from '../geometry/tube-shape.ts';
import { steepest as slantOf, surfaceNormal } from '../geometry/tube-surface.ts';
import { add, cross, type Deg, dot, type Mm, scale, sub, unit, type Vec3 } from '../geometry/vector.ts';
import type { OpeningGaugeSpec, Shop } from '../job/job.ts';
import type { Outcome, Problem } from '../job/problem.ts';
import { traceCurve } from '../solve/cut-curve.ts';
import type { Opening, Piece, Solution } from '../solve/solution.ts';
import type { Bed } from './cradle.ts';
import { flanksOf, heights, touchesTaper, widestOver } from './opening-gauge-block.ts';
import { type OtherRequest, toolProblem } from './request.ts';
import { angleText, lengthText } from './revision.ts';
import { extentsAt, facetRoom, levelStretch } from './stations.ts';
import type { Datum } from './tool.ts';

export type OpeningRequest = OtherRequest<OpeningGaugeSpec>;

/** All sizes of one gauge, which lies in print pose as a trough, hole down; heights are over the table. */
export interface OpeningGaugePlan {
  readonly request: OpeningRequest;
  readonly opening: Opening;
  readonly piece: Piece;
  readonly bed: Bed;
  /** Edge of the hole on the tube: as the window is cut, and traced anew twice as closely to be measured against. */
  readonly edge: readonly Vec3[];
  readonly solvedEdge: readonly Vec3[];
  /** Ends of the block along the tube, as s; where it leans on an end of the tube it reaches past that by the stop. */
  readonly from: Mm;
  readonly to: Mm;
  readonly datum: Datum;
  /** End of the tube that the stop is at. */
  readonly stopAt?: 'start' | 'end';
  readonly room: Mm;
  readonly wall: Mm;
  /** Half width of the block. */
  readonly sideReach: Mm;
  /** Heights: underside of the tube's room, its axis, top of the walls. */
  readonly under: Mm;
  readonly axis: Mm;
  readonly wallTop: Mm;
  /** Where the 45 degree flanks to either side (right of the heading seen from above the print, and left) begin on the table. */
  readonly flanks?: readonly [Mm, Mm];
  readonly groove: Groove;
  /** Middles of the two grooves, as s. */
  readonly groovesAt: readonly [Mm, Mm];
  /** The line along the tube that the end marks stand on: u, and how far it lies across from the axis. */
  readonly line: { readonly u: number; readonly across: Mm };
}

/** Strap groove across the outside: as wide at the table, narrowing to a roof that prints without support. */
export interface Groove {
  readonly half: Mm;
  readonly upright: Mm;
  readonly roofHalf: Mm;
  readonly depth: Mm;
}

/** A saddle open by more of its turn has no side left to hold. */
const STEEPEST: Deg = 80;
/** Edges of the hole are followed this closely: on a side at 80 degrees a bow shows nearly six times as large. */
const EDGE_CHORD: Mm = 0.002;
/** No gauge is longer, in however many pieces. */
const LONGEST: Mm = 400;
/** Under auto the gauge goes on to an end of the tube that lies this near. */
const NEAR_END: Mm = 40;
const WIDEST_ROOF: Mm = 5;
/** Wall on either side of a strap groove. */
const BESIDE_GROOVE: Mm = 3.5;

const grooveOf = ({ width, thickness }: Shop['strap']): Groove => {
  const half = (width + 1) / 2;
  const roofHalf = Math.min(half, WIDEST_ROOF / 2);
  const upright = thickness + 0.5;
  return { half, upright, roofHalf, depth: upright + half - roofHalf };
};

/** Find the hole asked for: by its own name, or by the end of the branch. */
export const openingNamed = ({ openings }: Solution, name: string): Opening | undefined =>
  openings.find((opening) => opening.name === name.replace('.', '-'));

/** Choose the way up, the stretch of tube, the datum and the block of a gauge. */
export function planOpeningGauge(request: OpeningRequest): Outcome<OpeningGaugePlan> {
  const { solution, spec, shop } = request;
  const opening = openingNamed(solution, spec.opening);
  const piece = opening && solution.pieces.find(({ member }) => member.name === opening.run.name);
  if (!opening || !piece) return { problems: [noOpening(request)] };
  const { run } = opening;
  const out = wayOut(opening);
  const steep = steepest(opening, out.direction);
  if (steep > STEEPEST) return { problems: [tooFarRound(request, steep)] };
  const [edge, solvedEdge] = [edgeOf(opening, EDGE_CHORD), edgeOf(opening, EDGE_CHORD / 2)];
  const up = scale(out.direction, -1);
  const stretch = levelStretch(run, out.s, up);
  const groove = grooveOf(shop.strap);
  const room = shop.fit.slide + facetRoom(shop.chordTolerance);
  // Marks and letters are sunk into the sides.
  const wall = Math.max(shop.wall, LEAST_WALL + LETTER_DEPTH + facetRoom(shop.chordTolerance));
  const middle = frameAt(run.centerline, out.s);
  const clear = isTapered(run) ? room * slantOf(run) : room;
  const half = extentsAt(run, out.s, up);
  let sideReach = half.across + clear + wall;
  const [low, high] = [Math.min(...opening.outside.map(({ s }) => s)), Math.max(...opening.outside.map(({ s }) => s))];
  // From the hole to a groove's middle, and as much again to the end; in a bend what is left on its inside.
  const beside = (groove.half + BESIDE_GROOVE) / insideShare(run, { from: low - 40, to: high + 40, sideReach });
  if (!(beside > 0 && beside < 5 * (groove.half + BESIDE_GROOVE))) return { problems: [crossesBend(request, opening)] };
  const over = (s: Mm, step: Mm): Mm => sOver(run, middle, { s, step, edge });
  const reach = [over(low, -2 * beside), over(high, 2 * beside)] as const;
  const stop = datumEnd(request, { opening, piece, reach, stretch });
  const thick = shop.wall + 2;
  const from = stop?.end === 'start' ? stop.s - thick : reach[0];
  const to = stop?.end === 'end' ? stop.s + thick : reach[1];
  if (from < stretch.from || to > stretch.to) return { problems: [crossesBend(request, opening)] };
  if (touchesTaper(run, { from, to })) {
    if (run.centerline.segments.some((x) => x.kind === 'bend' && x.s0 < to && x.s0 + x.length > from))
      return { problems: [crossesBend(request, opening)] };
    sideReach = widestOver(run, { from, to, about: out.s, up }) + clear + wall;
  }
  if (spec.datum === 'end' && !stop) return { problems: [noEnd(request, opening)] };
  const bed: Bed = {
    member: run,
    at: placementFrom(middle.origin, up, middle.heading),
    chordTolerance: shop.chordTolerance,
    tiltedStep: TILTED_STEPS[0]!,
  };
  const under = Math.max(wall, groove.depth + LEAST_WALL) + facetRoom(shop.chordTolerance);
  const levels = heights(bed, { from, to, room, under, edge });
  const plan: OpeningGaugePlan = {
    request,
    opening,
    piece,
    bed: levels.bed,
    edge,
    solvedEdge,
    from,
    to,
    datum: datumOf(opening, stop),
    ...(stop ? { stopAt: stop.end } : {}),
    room,
    wall,
    sideReach,
    under,
    axis: levels.axis,
    wallTop: levels.wallTop,
    ...flanksOf(isTapered(run) ? undefined : levels.bed, {
      frame: middle,
      half: half.across,
      room,
      wall,
      axis: levels.axis,
      sideReach,
      level: levels.level,
      wide: 2 * sideReach > Math.min(shop.printer.bed[0], shop.printer.bed[1]),
    }),
    groove,
    groovesAt: [over(low, -beside), over(high, beside)],
    line: out.line,
  };
  return { value: plan, problems: [] };
}

function edgeOf({ name, end, edge }: Opening, chordTolerance: Mm): readonly Vec3[] {
  const traced = traceCurve(end, edge === 'bore' ? 'inner' : 'outer', chordTolerance);
  if (!('curve' in traced)) throw new Error(`internal: the edge of opening ${name}, traced before, is lost`);
  return traced.curve.samples.map(({ point }) => point);
}

/** The outward normal at the middle of the hole: the way the gauge comes off, and where its line along the tube lies. */
function wayOut({ run, center, along: reach, around, outside }: Opening): {
  readonly direction: Vec3;
  readonly s: Mm;
  readonly line: OpeningGaugePlan['line'];
} {
  const u = isTapered(run)
    ? turnShare((Math.min(...outside.map((x) => x.u)) + Math.max(...outside.map((x) => x.u))) / 2)
    : turnShare(center.u + (around[0] + around[1]) / 2 / perimeter(run.section));
  // Lengths along a bend's own line and its centerline differ too little to move the middle of a hole off its level.
  const s = center.s + (reach[0] + reach[1]) / 2;
  const frame = frameAt(run.centerline, s);
  const { point, normal } = outlineOn(run, s, u);
  const direction = unit(add(scale(frame.right, normal[0]), scale(frame.up, normal[1])));
  const across = unit(cross(scale(direction, -1), frame.heading));
  const beside = point[0] * dot(frame.right, across) + point[1] * dot(frame.up, across);
  return { direction, s, line: { u, across: beside } };
}

/**
 * s so much beyond one end of the hole, or farther where the tube bends away under the gauge: there a hole on the outside of
 * the bend reaches farther over the table than the centerline's s tells.
 */
function sOver(
  { centerline }: Opening['run'],
  middle: Frame,
  { s, step, edge }: { readonly s: Mm; readonly step: Mm; readonly edge: readonly Vec3[] },
): Mm {
  const dir = Math.sign(step);
  const ahead = (p: Vec3): Mm => dir * dot(sub(p, middle.origin), middle.heading);
  const wanted = Math.max(...edge.map(ahead)) + Math.abs(step);
  let at = s + step;
  // Half a millimeter at a time; a bend that turns away altogether is no place for a gauge, and its room is too large then.
  for (let i = 0; i < 400 && ahead(frameAt(centerline, at).origin) < wanted; i++) at += dir * 0.5;
  return at;
}

/** Length on the block's inside over that on the centerline, in the tightest bend it touches; 1 along straights. */
function insideShare(
  { centerline }: Opening['run'],
  { from, to, sideReach }: { readonly from: Mm; readonly to: Mm; readonly sideReach: Mm },
): number {
  const clrs = centerline.segments.flatMap((x) =>
    x.kind === 'bend' && x.s0 < to && x.s0 + x.length > from ? [x.clr] : [],
  );
  return clrs.length === 0 ? 1 : 1 - sideReach / Math.min(...clrs);
}

const turnShare = (u: number): number => ((u % 1) + 1) % 1;

/** Largest angle between the way out and the tube's outside along the edge. */
function steepest({ run, outside }: Opening, direction: Vec3): Deg {
  const least = Math.min(
    ...outside.map(({ s, u }) => {
      return dot(surfaceNormal(run, turnShare(u), s), direction);
    }),
  );
  return acosd(least);
}

interface End {
  readonly end: 'start' | 'end';
  readonly s: Mm;
}

/** A square end of the tube that the gauge may stand against: the nearer one, near enough or asked for. */
function datumEnd(
  { spec, solution, shop }: OpeningRequest,
  of: {
    readonly opening: Opening;
    readonly piece: Piece;
    readonly reach: readonly [Mm, Mm];
    readonly stretch: { readonly from: Mm; readonly to: Mm };
  },
): End | undefined {
  const { piece, reach, stretch } = of;
  if (spec.datum === 'mark') return undefined;
  const square = (id: string | undefined): boolean =>
    id === undefined || solution.ends.find((end) => end.id === id)?.flat?.miterDeg === 0;
  // An end asked for may lie farther off: the gauge is then printed in pieces.
  const longest = spec.datum === 'end' ? LONGEST : Math.max(shop.printer.bed[0], shop.printer.bed[1]) - shop.wall - 2;
  const far = spec.datum === 'end' ? Number.POSITIVE_INFINITY : NEAR_END;
  const ends = [
    { end: 'start', s: piece.from, off: reach[0] - piece.from, fits: square(piece.startEnd?.id) },
    { end: 'end', s: piece.to, off: piece.to - reach[1], fits: square(piece.finishEnd?.id) },
  ] as const;
  const whole = reach[1] - reach[0];
  const able = ends.filter(
    ({ s, off, fits }) => fits && off <= far && whole + off <= longest && s > stretch.from && s < stretch.to,
  );
  const nearer = [...able].sort((p, q) => p.off - q.off)[0];
  return nearer && { end: nearer.end, s: nearer.s };
}

function datumOf({ center }: Opening, stop: End | undefined): Datum {
  if (stop) return { kind: 'end', s: stop.s, distance: Math.abs(center.s - stop.s) };
  return { kind: 'mark', s: center.s, distance: 0 };
}

/** How far round the tube the gauge's line along it lies, clockwise from the witness line looking from start to end. */
export function lineDeg({ opening, line }: OpeningGaugePlan): Deg {
  const [a, b] = outlineOn(opening.run, opening.center.s, line.u).point;
  return turnDeg(atan2d(a, b));
}

const noOpening = ({ spec, solution, path, name }: OpeningRequest): Problem => {
  const there = solution.openings.map((opening) => opening.name);
  return toolProblem(
    { name, path },
    {
      code: 'tool/no-cut',
      message: `an opening-gauge is asked for "${spec.opening}", and there is no such opening`,
      hint:
        there.length > 0
          ? `openings of this job: ${there.join(', ')}`
          : 'open a cope (`open: true`) or draw a hole under `openings:`',
    },
  );
};

const tooFarRound = (request: OpeningRequest, steep: Deg): Problem =>
  toolProblem(request, {
    code: 'tool/cannot-build',
    message: `the opening reaches ${angleText(steep)} round from its middle; a saddle can be open to ${angleText(STEEPEST)}`,
    hint: 'mark it by its wrap template',
    measured: steep,
    limit: STEEPEST,
  });

const crossesBend = (request: OpeningRequest, { run }: Opening): Problem =>
  toolProblem(request, {
    code: 'tool/crosses-bend',
    message: `the opening lies too near a bend of "${run.name}" for a saddle that can be put on`,
    hint: 'mark it by its wrap template, or move it along the tube',
  });

const noEnd = (request: OpeningRequest, { run }: Opening): Problem =>
  toolProblem(request, {
    code: 'tool/cannot-build',
    message: `no square end of "${run.name}" lies within ${lengthText(LONGEST, 'mm')} of the far side of the opening`,
    hint: 'use `datum: mark`',
  });
