import { frameAt, type Segment, type StraightSegment } from '../geometry/centerline.ts';
import type { Frame } from '../geometry/frame.ts';
import { PARALLEL_SINE } from '../geometry/tolerance.ts';
import { tubeReach } from '../geometry/tube-shape.ts';
import { cross, dot, length, type Mm, scale, sub, unit, type Vec3 } from '../geometry/vector.ts';
import type { ClockingRingSpec } from '../job/bench-tools.ts';
import { figure, type Outcome } from '../job/problem.ts';
import type { Member } from '../solve/solution.ts';
import { type OtherRequest, toolProblem } from './request.ts';

/** Material between the tube and the table at the least: the strap's slot and letters. */
const UNDER_TUBE: Mm = 19;
/** Length of a block on either side of the strap, and more of it where the block is tall. */
const BESIDE_STRAP: Mm = 9;
const TALL_SHARE = 0.25;
/** Free height of all the tube over the table. */
const OVER_TABLE: Mm = 3;
/** A block taller than this rocks by itself. */
const TALLEST: Mm = 240;
/** Straight kept free between a block and the bend beside it. */
const BESIDE_BEND: Mm = 3;

/** A block on one straight: its tube lies level on the table. */
export interface Block {
  readonly letter: 'a' | 'b';
  readonly straight: StraightSegment;
  /** In words: "before bend 1". */
  readonly where: string;
  readonly s: Mm;
  readonly frame: Frame;
  /** From the table to the tube's axis. */
  readonly far: Mm;
  readonly tall: Mm;
}

export interface CheckPlan {
  readonly request: OtherRequest<ClockingRingSpec>;
  readonly member: Member;
  /** Up from the table. */
  readonly up: Vec3;
  readonly blocks: readonly [Block, Block];
}

/** The straights, the way up over which both lie level, and how tall a block each needs. */
export function planCheck(request: OtherRequest<ClockingRingSpec>): Outcome<CheckPlan> {
  const { spec, solution, shop } = request;
  const member = solution.members.find(({ name }) => name === spec.member);
  if (!member) throw new Error(`internal: clocking blocks of unknown member ${spec.member}`);
  const { segments } = member.centerline;
  const bends = segments.filter(({ kind }) => kind === 'bend');
  const wanted = spec.bends ?? [1, bends.length];
  const [first, last] = [Math.min(...wanted), Math.max(...wanted)];
  if (bends.length === 0 || last > bends.length) {
    const message = `${member.name} has ${bends.length} bends${bends.length === 0 ? '' : `, and bend ${last} is asked for`}; blocks check how the straights before and behind bends stand to each other`;
    const hint = 'name bends of the member, counted from its start';
    return {
      problems: [
        toolProblem(request, { code: 'tool/cannot-build', message, hint, measured: bends.length, limit: last }),
      ],
    };
  }
  const sides = [
    { letter: 'a', where: `before bend ${first}`, segment: segments[segments.indexOf(bends[first - 1]!) - 1] },
    { letter: 'b', where: `behind bend ${last}`, segment: segments[segments.indexOf(bends[last - 1]!) + 1] },
  ] as const;
  const straights = sides.map(({ segment }) => segment);
  const missing = sides.find(({ segment }) => segment?.kind !== 'straight');
  if (missing)
    return { problems: [tooShort(request, { member, where: missing.where, room: 0, needs: shortest(shop) })] };
  const [p, q] = straights as [StraightSegment, StraightSegment];
  const up = upFrom(member, { p, q, request });
  const low = lowestOver(member, { up, request });
  const reach = tubeReach(member) + shop.fit.slide + UNDER_TUBE;
  const heights = [p, q].map(({ start }) => dot(start.origin, up));
  const table = Math.min(low - OVER_TABLE, Math.min(...heights) - reach);
  const fars = heights.map((height) => height - table);
  const tallest = Math.max(...fars);
  if (tallest > TALLEST) {
    const message = `a block ${figure(tallest)} mm tall would be needed under ${member.name}, limit ${TALLEST} mm: its straights lie ${figure(Math.abs(heights[0]! - heights[1]!))} mm apart over a table that both are level on, and the tube between reaches down to it`;
    return {
      problems: [
        toolProblem(request, {
          code: 'tool/cannot-build',
          message,
          hint: 'check fewer bends at a time: `bends: [1, 2]`, then `bends: [2, 3]`',
          measured: tallest,
          limit: TALLEST,
        }),
      ],
    };
  }
  const blocks = sides.map(({ letter, where }, i) => {
    const straight = [p, q][i]!;
    const far = fars[i]!;
    const tall = Math.max(shortest(shop), TALL_SHARE * far);
    const s = straight.s0 + straight.length / 2;
    return { letter, where, straight, s, frame: frameAt(member.centerline, s), far, tall };
  });
  const short = blocks.find((block) => roomOn(member, block.straight, request) < block.tall + BESIDE_BEND);
  if (short) {
    const room = roomOn(member, short.straight, request);
    return { problems: [tooShort(request, { member, where: short.where, room, needs: short.tall + BESIDE_BEND })] };
  }
  const placed = blocks.map((block) => nearMiddle(member, { block, request }));
  return { value: { request, member, up, blocks: placed as unknown as readonly [Block, Block] }, problems: [] };
}

const shortest = ({ strap }: { readonly strap: { readonly width: Mm } }): Mm => 2 * BESIDE_STRAP + strap.width + 1;

/** Where the tube is whole on a straight: between its bends, and short of its cuts. */
export function stretchOn(member: Member, straight: Segment, { solution }: OtherRequest): { from: Mm; to: Mm } {
  const piece = solution.pieces.find((one) => one.member.name === member.name);
  const from = Math.max(straight.s0, piece?.startEnd?.shortPoint ?? piece?.from ?? straight.s0);
  const to = Math.min(
    straight.s0 + straight.length,
    piece?.finishEnd?.shortPoint ?? piece?.to ?? Number.POSITIVE_INFINITY,
  );
  return { from, to };
}

const roomOn = (member: Member, straight: Segment, request: OtherRequest): Mm => {
  const { from, to } = stretchOn(member, straight, request);
  return to - from;
};

function nearMiddle(member: Member, { block, request }: { readonly block: Block; readonly request: OtherRequest }) {
  const { from, to } = stretchOn(member, block.straight, request);
  const s = (from + to) / 2;
  return { ...block, s, frame: frameAt(member.centerline, s) };
}

/** Square to both straights; where those are parallel, so that both lie at one height. The lower way up of the two. */
function upFrom(
  member: Member,
  { p, q, request }: { readonly p: StraightSegment; readonly q: StraightSegment; readonly request: OtherRequest },
): Vec3 {
  const skew = cross(p.start.heading, q.start.heading);
  const flat = cross(p.start.heading, sub(q.start.origin, p.start.origin));
  const bend = member.centerline.segments.find((segment) => segment.kind === 'bend');
  const way = length(skew) > PARALLEL_SINE ? skew : length(flat) > PARALLEL_SINE ? flat : (bend?.axis ?? p.start.up);
  const up = unit(way);
  const taller = (one: Vec3): Mm =>
    Math.max(...[p, q].map(({ start }) => dot(start.origin, one))) - lowestOver(member, { up: one, request });
  const down = scale(up, -1);
  // Of equal ways the one that shows the witness line from above.
  const [a, b] = [taller(up), taller(down)];
  if (Math.abs(a - b) > 1e-6) return a < b ? up : down;
  return dot(up, p.start.up) >= -1e-9 ? up : down;
}

/** Underside of the whole piece over a way up, every few millimeters. */
function lowestOver(member: Member, { up, request }: { readonly up: Vec3; readonly request: OtherRequest }): Mm {
  const piece = request.solution.pieces.find((one) => one.member.name === member.name);
  const [from, to] = [piece?.from ?? 0, piece?.to ?? member.centerline.length];
  const count = Math.max(1, Math.ceil((to - from) / 2));
  const reach = tubeReach(member);
  return Math.min(
    ...Array.from({ length: count + 1 }, (_, i) => {
      const { origin, heading } = frameAt(member.centerline, from + ((to - from) * i) / count);
      return dot(origin, up) - reach * Math.sqrt(Math.max(0, 1 - dot(heading, up) ** 2));
    }),
  );
}

const tooShort = (
  request: OtherRequest,
  { member, where, room, needs }: { member: Member; where: string; room: Mm; needs: Mm },
) =>
  toolProblem(request, {
    code: 'tool/no-room',
    message: `the straight of ${member.name} ${where} is whole for ${figure(Math.max(0, room))} mm; a clocking block takes ${figure(needs)} mm of it`,
    hint: 'name other bends, or a narrower strap in shop.strap',
    measured: Math.max(0, room),
    limit: needs,
  });
