import { segmentAt } from '../geometry/centerline.ts';
import { tubeReach } from '../geometry/tube-shape.ts';
import { dot, type Mm } from '../geometry/vector.ts';
import type { FitUpCradleSpec } from '../job/fit-up.ts';
import { figure, type Outcome, type Problem } from '../job/problem.ts';
import type { CutEnd, EndName } from '../solve/solution.ts';
import { type InTheWay, inTheWay, type Keeping, MOST_TURN, postAbout, spanInPlan } from './fit-up-clear.ts';
import { type HeldJoint, type HeldPiece, headingAt, placeOn } from './fit-up-joints.ts';
import { postTops, type Saddle, stopThickness } from './fit-up-saddle.ts';
import { leanOver, MOST_LEAN } from './fit-up-table.ts';
import { type OtherRequest, toolProblem } from './request.ts';
import { angleText } from './revision.ts';

/** A saddle with the joints it holds its tube for. */
export interface Station {
  readonly saddle: Omit<Saddle, 'number'>;
  readonly joints: readonly string[];
}

/** Step of the search along a tube, and how far beyond the heat distance it goes. */
const STEP: Mm = 1;
const SEARCH: Mm = 320;
/** Two saddles on one side of a joint hold the tube this far apart: twice its size, but no less and no more than so much. */
const APART: readonly [Mm, Mm] = [60, 130];
/** A tube's end nearer than this beyond the last saddle is stopped there. */
const STOP_REACH: Mm = 90;

/** Saddles found, and the members for which none were. */
export interface Stationed {
  readonly stations: readonly Station[];
  readonly missing: readonly NotHeld[];
}

/** A member that no saddle holds, and why. */
export interface NotHeld {
  readonly held: HeldPiece;
  readonly why: readonly Problem[];
}

/** Where every member is held: two saddles at each joint, one where the tube is too short for two. */
export function chooseStations(request: OtherRequest<FitUpCradleSpec>, loose: Keeping): Stationed {
  let keeping = loose;
  const stations: Station[] = [];
  const missing: NotHeld[] = [];
  const leaning = keeping.gathering.pieces.map((held) => leansEverywhere(held, { request, keeping }));
  // Told before any place is looked at: nothing is held over a way up that a joint asked for cannot stand.
  const strict = request.spec.holds.kind === 'joints' && leaning.some((why) => why.length > 0);
  keeping.gathering.pieces.forEach((held, i) => {
    const steep = leaning[i]!;
    if (steep.length > 0) missing.push({ held, why: steep });
    else if (!strict) {
      const { value, problems } = stationsOn(held, { request, keeping });
      if (value) {
        stations.push(...value);
        if (keeping.feet)
          keeping = { ...keeping, feet: [...keeping.feet, ...value.map(({ saddle }) => footOf(saddle, loose))] };
      } else missing.push({ held, why: problems });
    }
  });
  return { stations, missing };
}

const footOf = (saddle: Station['saddle'], keeping: Keeping) =>
  spanInPlan(postTops(saddle.held, saddle, keeping), keeping.table);

interface Choosing {
  readonly request: OtherRequest<FitUpCradleSpec>;
  readonly keeping: Keeping;
}

function stationsOn(held: HeldPiece, choosing: Choosing): Outcome<readonly Station[]> {
  const { request, keeping } = choosing;
  const joints = keeping.gathering.joints.filter(({ members }) => members.includes(held.member.name));
  const given = request.spec.stations.find(({ member }) => member === held.member.name);
  if (given) return givenStations(held, { ...choosing, joints, at: given.at });
  const problems: Problem[] = [];
  const spans: (Span & { readonly joints: readonly string[] })[] = [];
  for (const joint of joints) {
    const found = placesAt(held, joint, keeping);
    if (found.places.length === 0) problems.push(noPlace(held, { ...choosing, joint, why: found.why }));
    for (const span of found.places) {
      const same = spans.find((other) => span.from < other.to + 4 && span.to > other.from - 4);
      if (same) spans[spans.indexOf(same)] = { ...same, joints: [...same.joints, joint.name] };
      else spans.push({ ...span, joints: [joint.name] });
    }
  }
  // Held at two other places the tube has its direction: a joint with no room of its own is met all the same.
  if (problems.length > 0 && spans.length < 2) return { problems };
  const stations = spans
    .sort((p, q) => p.from - q.from)
    .map(({ from, to, joints: of }): Station => ({ saddle: { held, from, to }, joints: of }));
  return { value: withStop(stations, choosing), problems };
}

/** What is said of a member that leans too much at every joint; told before any place is looked at. */
function leansEverywhere(held: HeldPiece, choosing: Choosing): readonly Problem[] {
  const { keeping } = choosing;
  const joints = keeping.gathering.joints.filter(({ members }) => members.includes(held.member.name));
  const steep = joints.filter((joint) => {
    const { first, last } = searched(held, joint, keeping);
    const places = Array.from({ length: LEAN_PLACES }, (_, i) => first + ((last - first) * i) / (LEAN_PLACES - 1));
    return places.every((s) => leanOver(headingAt(held.member, s), keeping.table.z) > MOST_LEAN);
  });
  if (steep.length < joints.length) return [];
  return steep.map((joint) => noPlace(held, { ...choosing, joint, why: new Map([['lean', 1]]) }));
}

/** Places along a tube that tell whether it leans all along. */
const LEAN_PLACES = 40;

/** Stretch of a tube that is searched for places about a joint. */
function searched(held: HeldPiece, joint: HeldJoint, { heat }: Keeping): { readonly first: Mm; readonly last: Mm } {
  const middle = placeOn(held.member, joint);
  const reach = heat + SEARCH;
  return {
    first: Math.max(Math.ceil(held.from), Math.ceil(middle - reach)),
    last: Math.min(Math.floor(held.to), Math.floor(middle + reach)),
  };
}

interface Span {
  readonly from: Mm;
  readonly to: Mm;
}

interface Found {
  readonly places: readonly Span[];
  readonly why: ReadonlyMap<InTheWay, number>;
}

/** Free places nearest to a joint: one on each side of it, or two on the side where the tube is. */
function placesAt(held: HeldPiece, joint: HeldJoint, keeping: Keeping): Found {
  const middle = placeOn(held.member, joint);
  const { first, last } = searched(held, joint, keeping);
  const why = new Map<InTheWay, number>();
  const blocked: Blocked = (s) => {
    const block = inTheWay(held, postAbout(held, s, keeping), keeping);
    if (!block) return undefined;
    const { kind } = segmentAt(held.member.centerline, s);
    const steps = kind === 'straight' ? Math.max(1, Math.floor(block.past / STEP)) : 1;
    why.set(block.why, (why.get(block.why) ?? 0) + steps);
    return steps * STEP;
  };
  const low = firstFree(Math.min(Math.ceil(middle) - 1, last), first, blocked);
  const high = firstFree(Math.max(Math.floor(middle) + 1, first), last, blocked);
  const about = (s: Mm): Span => postAbout(held, s, keeping);
  if (low !== undefined && high !== undefined) return { places: [about(low), about(high)], why };
  const near = low ?? high;
  if (near === undefined) return { places: [], why };
  const end = low === undefined ? last : first;
  const far = farFrom(near, { end, held, keeping, blocked });
  if (far !== undefined) return { places: [about(near), about(far)], why };
  return { places: [lengthened(near, { end, held, keeping })], why };
}

/** How far on the next place is that may be free, where this one is not. */
type Blocked = (s: Mm) => Mm | undefined;

/** The first free place from one to another, either way. */
function firstFree(from: Mm, to: Mm, blocked: Blocked): Mm | undefined {
  const way = Math.sign(to - from) || 1;
  for (let s = from; way * (to - s) >= 0; ) {
    const step = blocked(s);
    if (step === undefined) return s;
    s += way * step;
  }
  return undefined;
}

interface Beside {
  /** Last place of the search, on the side of the joint where the tube is. */
  readonly end: Mm;
  readonly held: HeldPiece;
  readonly keeping: Keeping;
}

/** A place far enough from the first to hold the direction; the farthest there is where the tube is short. */
function farFrom(near: Mm, { end, held, keeping, blocked }: Beside & { blocked: Blocked }): Mm | undefined {
  const way = Math.sign(end - near) || 1;
  const wanted = Math.max(APART[0], Math.min(APART[1], 4 * tubeReach(held.member)));
  const reach = way * (end - near);
  const beyond = reach >= wanted ? firstFree(near + way * wanted, end, blocked) : undefined;
  if (beyond !== undefined) return beyond;
  const least = keeping.saddle + 8;
  return reach < least ? undefined : firstFree(near + way * Math.min(wanted, reach), near + way * least, blocked);
}

/** Where there is room for one saddle only it is made longer, so that it holds the direction: as far as it may go on. */
function lengthened(near: Mm, { end, held, keeping }: Beside): Span {
  const way = Math.sign(end - near) || 1;
  const start = postAbout(held, near, keeping);
  const longer = (by: Mm): Span =>
    way > 0 ? { from: start.from, to: start.to + by } : { from: start.from - by, to: start.to };
  let span = start;
  for (let by = STEP; by <= MOST_LONGER && !inTheWay(held, longer(by), keeping); by += STEP) span = longer(by);
  return span;
}

/** A single saddle grows by so much at most. */
const MOST_LONGER: Mm = 60;

function givenStations(
  held: HeldPiece,
  { request, keeping, joints, at }: Choosing & { readonly joints: readonly HeldJoint[]; readonly at: readonly Mm[] },
): Outcome<readonly Station[]> {
  const spans = [...at].sort((p, q) => p - q).map((s) => ({ s, ...postAbout(held, s, keeping) }));
  const problems = spans.flatMap((span): readonly Problem[] => {
    const block = inTheWay(held, span, keeping);
    if (!block) return [];
    const message = `a saddle at ${figure(span.s)} mm on "${held.member.name}" cannot stand there: ${WORDS[block.why](keeping)}`;
    return [
      toolProblem(request, {
        code: 'tool/no-room',
        message,
        hint: 'move it along the tube, or leave the member out of `stations`',
      }),
    ];
  });
  if (problems.length > 0) return { problems };
  const nearest = (s: Mm): string =>
    joints.reduce((p, q) => (Math.abs(placeOn(held.member, q) - s) < Math.abs(placeOn(held.member, p) - s) ? q : p))
      .name;
  const stations = spans.map(({ s, from, to }): Station => ({ saddle: { held, from, to }, joints: [nearest(s)] }));
  return { value: stations, problems };
}

/**
 * The last saddle moves to the tube's end and stops it, where that end is square, near, and the tube can come straight
 * down beside the others: a coped tube is laid in short of its seat and pushed home, which a stop would not allow.
 */
function withStop(stations: readonly Station[], { keeping }: Choosing): readonly Station[] {
  const [first] = stations;
  const last = stations.at(-1);
  if (!first || !last || !comesStraightDown(first.saddle.held, keeping)) return stations;
  const { held } = first.saddle;
  const tries: readonly { end: EndName; station: Station }[] = [
    { end: 'start', station: first },
    { end: 'end', station: last },
  ];
  for (const { end, station } of tries) {
    const stopped = stopAt(held, { end, station, keeping });
    if (stopped && (stations.length === 1 || !overlaps(stopped, stations, station)))
      return stations.map((other) => (other === station ? stopped : other));
  }
  return stations;
}

const overlaps = (stopped: Station, stations: readonly Station[], moved: Station): boolean =>
  stations.some(
    (other) =>
      other !== moved && stopped.saddle.from < other.saddle.to + 8 && stopped.saddle.to > other.saddle.from - 8,
  );

function stopAt(
  held: HeldPiece,
  { end, station, keeping }: { readonly end: EndName; readonly station: Station; readonly keeping: Keeping },
): Station | undefined {
  const cut = end === 'start' ? held.piece.startEnd : held.piece.finishEnd;
  if (cut && !(cut.jointKind === 'trim' && cut.flat?.miterDeg === 0)) return undefined;
  const s = end === 'start' ? held.from : held.to;
  const apart = end === 'start' ? station.saddle.from - s : s - station.saddle.to;
  if (apart > STOP_REACH) return undefined;
  // Over a leaning tube a stop square to it would hold it down.
  if (leanOver(headingAt(held.member, s), keeping.table.z) > 1e-6) return undefined;
  const [long, thick] = [keeping.saddle, stopThickness(keeping.shop)];
  const span = end === 'start' ? { from: s - thick, to: s + long } : { from: s - long, to: s + thick };
  if (inTheWay(held, { ...span, stop: true }, keeping)) return undefined;
  return { ...station, saddle: { held, ...span, stop: end } };
}

/** No cut of the tube at a held joint, or only flat ones that stand upright. */
function comesStraightDown({ piece }: HeldPiece, { gathering, table }: Keeping): boolean {
  const held = (cut: CutEnd): boolean => gathering.joints.some(({ name }) => name === cut.joint);
  return [piece.startEnd, piece.finishEnd].every(
    (cut) => !cut || !held(cut) || (cut.flat !== undefined && Math.abs(dot(cut.flat.plane.normal, table.z)) < 1e-6),
  );
}

const WORDS: Readonly<Record<InTheWay, (keeping: Keeping) => string>> = {
  end: ({ saddle }) => `the whole tube is not ${figure(saddle)} mm long there`,
  lean: () => `the tube leans more than ${MOST_LEAN} deg over the bench`,
  bend: () => `the tube turns by more than ${MOST_TURN} deg within a saddle there`,
  taper: () => 'the tube tapers there while it leans over the bench',
  seam: ({ heat }) => `a seam is nearer than the heat distance of ${figure(heat)} mm`,
  tube: () => 'the post would stand in the way of another tube',
};

function noPlace(
  held: HeldPiece,
  { request, keeping, joint, why }: Choosing & { readonly joint: HeldJoint; readonly why: Found['why'] },
): Problem {
  const { name } = held.member;
  const [block] = [...why].sort((p, q) => q[1] - p[1])[0] ?? ['end' as const];
  const lean = leanOver(headingAt(held.member, placeOn(held.member, joint)), keeping.table.z);
  if (block === 'lean') {
    return toolProblem(request, {
      code: 'tool/cannot-insert',
      message: `"${name}" leans ${angleText(lean)} over the bench at joint "${joint.name}"; a saddle holds up to ${MOST_LEAN} deg`,
      hint: 'give `up` a direction over which it lies more level, or hold fewer joints in one cradle',
      measured: lean,
      limit: MOST_LEAN,
    });
  }
  return toolProblem(request, {
    code: 'tool/no-room',
    message: `no place on "${name}" near joint "${joint.name}" is free for a saddle: mostly because ${WORDS[block](keeping)}`,
    hint:
      block === 'seam' || block === 'end'
        ? 'give a smaller `heat` or `saddle`'
        : 'give another `up`, or a smaller `saddle`',
  });
}
