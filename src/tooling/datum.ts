import { segmentAt } from '../geometry/centerline.ts';
import { isTapered } from '../geometry/tube-shape.ts';
import type { Mm } from '../geometry/vector.ts';
import { type CutRequest, directionOf } from './request.ts';
import type { Stretch } from './stations.ts';
import type { Datum } from './tool.ts';

/** What limits the choice of datum, in the outward coordinate t (dir * s). */
export interface DatumLimits {
  /** Level stretch of tube the tool may lie along, as s. */
  readonly stretch: Stretch;
  /** The tool must reach at least from here (kept side) to here (waste side). */
  readonly kept: Mm;
  readonly waste: Mm;
  /** Longest tool along the tube that the printer makes. */
  readonly longest: Mm;
  /** Longest tool worth printing when another datum would do; decides under `auto`. */
  readonly handy: Mm;
  /** What a tool without an end to lean on holds of the kept tube. */
  readonly grip: Mm;
  /** Raw tube left beyond the long point when the tool leans on the raw end. */
  readonly stub: Mm;
  /** Whether the stop reaches the tube's other end only where that is square: a wall beside the tube, not a ledge all round. */
  readonly squareEnd: boolean;
  /** Order of preference under `auto`. */
  readonly prefer: readonly Datum['kind'][];
}

/**
 * Where the tool registers: `end`, the tube's other end if it is finished and near enough; `stock`, the raw end a stated
 * stub beyond the long point; `mark`, a line at a stated distance (the tangent point of a bend where that serves).
 */
export function chooseDatum(request: CutRequest, limits: DatumLimits): Datum | undefined {
  const wanted = request.datum === 'auto' ? limits.prefer : [request.datum];
  for (const kind of wanted) {
    const s =
      kind === 'end'
        ? otherEnd(request, limits)
        : kind === 'stock'
          ? rawEnd(request, limits)
          : markPlace(request, limits);
    if (s !== undefined) return { kind, s, distance: Math.abs(request.end.longPoint - s) };
  }
  return undefined;
}

/** The other end serves when it is plain, or cut before this one (starts are cut first), level with the cut and in reach. */
function otherEnd(request: CutRequest, limits: DatumLimits): Mm | undefined {
  const { end, piece } = request;
  const dir = directionOf(end);
  if (end.end === 'start' && piece.finishEnd) return undefined;
  const id = (end.end === 'end' ? piece.startEnd : piece.finishEnd)?.id;
  const other = id === undefined ? undefined : request.solution.ends.find((candidate) => candidate.id === id);
  if (limits.squareEnd && other && other.flat?.miterDeg !== 0) return undefined;
  const s = end.end === 'end' ? piece.from : piece.to;
  if (s < limits.stretch.from || s > limits.stretch.to) return undefined;
  if (
    limits.kept - dir * s < 8 ||
    limits.waste - dir * s > (request.datum === 'auto' ? Math.min(limits.handy, limits.longest) : limits.longest)
  )
    return undefined;
  return s;
}

/** How far the end of a bought taper may lie from where its stock would be sawn. */
const BOUGHT: Mm = 15;

function rawEnd(request: CutRequest, limits: DatumLimits): Mm | undefined {
  const { end } = request;
  const dir = directionOf(end);
  const sawn = limits.waste + limits.stub;
  // Stock with a taper is bought as drawn: its own end serves where it lies near.
  const drawn = end.end === 'end' ? end.member.centerline.length : 0;
  const asItComes = isTapered(end.member) && dir * drawn >= limits.waste - BOUGHT && dir * drawn <= sawn + BOUGHT;
  const s = asItComes ? drawn : dir * sawn;
  return s < limits.stretch.from || s > limits.stretch.to ? undefined : s;
}

/** A whole 5 mm from the long point, or the tangent point of the bend the cut lies in when it lies within reach. */
function markPlace(request: CutRequest, limits: DatumLimits): Mm | undefined {
  const { end, piece } = request;
  const dir = directionOf(end);
  const long = dir * end.longPoint;
  const edge = dir > 0 ? limits.stretch.from : -limits.stretch.to;
  const bodyEnd = Math.max(edge, dir > 0 ? piece.from : -piece.to);
  const segment = end.bend?.segment;
  if (segment) {
    const tangent = dir > 0 ? segment.s0 : -(segment.s0 + segment.length);
    if (tangent >= bodyEnd && limits.kept - tangent >= limits.grip / 2 && limits.kept - tangent <= 2 * limits.grip)
      return dir * tangent;
  }
  const t = long - 5 * Math.ceil((long - limits.kept + limits.grip) / 5);
  if (t >= bodyEnd) return dir * t;
  return limits.kept - bodyEnd >= 12 ? dir * bodyEnd : undefined;
}

/** Whether s lies on a straight of the tube (its straight continuation past a drawn end counts). */
export function onStraight(request: CutRequest, s: Mm): boolean {
  const line = request.end.member.centerline;
  return s < 0 || s > line.length || segmentAt(line, s).kind === 'straight';
}

/**
 * The stock as it lies in a tool, as s: on the kept side from what it leans on or its drawn end, on the waste side to the
 * raw end it leans on, or past the outward coordinate `beyond`.
 */
export function stockSpan({ end }: CutRequest, datum: Datum, beyond: Mm): { readonly from: Mm; readonly to: Mm } {
  const dir = directionOf(end);
  const whole = end.member.centerline.length;
  const kept = datum.kind === 'end' ? dir * datum.s : dir > 0 ? 0 : -whole;
  const waste = datum.kind === 'stock' ? dir * datum.s : Math.max(dir > 0 ? whole : 0, beyond);
  return dir > 0 ? { from: kept, to: waste } : { from: -waste, to: -kept };
}
