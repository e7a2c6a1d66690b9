import { frameAt } from '../geometry/centerline.ts';
import { unplace } from '../geometry/placement.ts';
import { along, type Mm } from '../geometry/vector.ts';
import type { FitUpCradleSpec } from '../job/fit-up.ts';
import { figure, type Outcome, type Problem } from '../job/problem.ts';
import { type Base, benchUnder, groupBases, partedBase, type Standing } from './fit-up-base.ts';
import { type Keeping, keepingOf, spanInPlan } from './fit-up-clear.ts';
import { type Gathering, gather, type HeldPiece } from './fit-up-joints.ts';
import { postTops, type Rise, type Saddle, shoulderAt } from './fit-up-saddle.ts';
import { chooseStations, type NotHeld, type Station } from './fit-up-stations.ts';
import { tableOver, waysUp } from './fit-up-table.ts';
import { MOST_TALL, stackOf } from './fit-up-tall.ts';
import { type OtherRequest, toolProblem } from './request.ts';
import { meet } from './split.ts';

export type CradleRequest = OtherRequest<FitUpCradleSpec>;

/** Everything that fixes a fit-up cradle before its solids are made: the table stands on the bench. */
export interface CradlePlan {
  readonly request: CradleRequest;
  readonly gathering: Gathering;
  readonly keeping: Keeping;
  readonly saddles: readonly Saddle[];
  readonly bases: readonly Base[];
  /** Posts taller than the printer, by their saddle: the heights each is printed in, from the bench up. */
  readonly stacks: ReadonlyMap<Saddle, readonly Rise[]>;
  /** Members of a whole assembly that no saddle holds. */
  readonly notHeld: readonly NotHeld[];
}

/** Most pieces a cradle is parted into. */
const MOST_PIECES = 60;

/**
 * The first of the ways up over which everything finds its place. Where none does: of a whole assembly the one that holds
 * most members, and of single joints what stands in the way over the best.
 */
export function planCradle(request: CradleRequest): Outcome<CradlePlan> {
  const gathered = gather(request);
  const gathering = gathered.value;
  if (!gathering) return { problems: gathered.problems };
  let first: readonly Problem[] | undefined;
  let best: CradlePlan | undefined;
  for (const up of waysUp(gathering, request.spec)) {
    const keeping = keepingOver(request, gathering, up);
    const loose = planOver(request, gathering, keeping);
    const { value: plan, problems } = postsCollide(loose.value)
      ? planOver(request, gathering, { ...keeping, feet: [] })
      : loose;
    if (plan?.notHeld.length === 0) return { value: plan, problems: [] };
    if (plan && (!best || plan.notHeld.length < best.notHeld.length)) best = plan;
    if (!plan) first ??= problems;
  }
  return best ? { value: best, problems: best.notHeld.map((one) => leftOut(request, one)) } : { problems: first ?? [] };
}

/** Posts that overlap are one print, but a piece of a tall one cannot be pushed on through another. */
function postsCollide(plan: CradlePlan | undefined): boolean {
  if (!plan) return false;
  const { saddles, stacks, keeping } = plan;
  const feet = saddles.map((saddle) => ({
    saddle,
    foot: spanInPlan(postTops(saddle.held, saddle, keeping), keeping.table),
  }));
  return feet.some(
    ({ saddle, foot }) =>
      stacks.has(saddle) && feet.some((other) => other.saddle !== saddle && meet(foot, other.foot, 0)),
  );
}

/** A whole assembly is held without a member that finds no place; that is said. */
function leftOut(request: CradleRequest, { held, why }: NotHeld): Problem {
  const [problem] = why;
  if (!problem) throw new Error(`internal: ${held.member.name} is not held, and nothing says why`);
  return {
    ...problem,
    severity: 'warning',
    message: `${problem.message}; the cradle is made without a saddle for it`,
    hint: `set "${held.member.name}" with a square or a clamp, ${problem.hint ?? ''}`,
    path: request.path,
  };
}

function keepingOver(request: CradleRequest, gathering: Gathering, up: Keeping['table']['z']): Keeping {
  const { shop, spec } = request;
  return keepingOf({ table: tableOver(gathering, up), shop }, { gathering, heat: spec.heat, saddle: spec.saddle });
}

function planOver(request: CradleRequest, gathering: Gathering, loose: Keeping): Outcome<CradlePlan> {
  const whole = request.spec.holds.kind !== 'joints';
  const chosen = chooseStations(request, loose);
  if (chosen.missing.length > 0 && !(whole && holdsAny(chosen.stations, gathering)))
    return { problems: chosen.missing.flatMap(({ why }) => why) };
  const bench = benchHeight(request, benchOf(chosen.stations, loose, whole));
  if (bench.value === undefined) return { problems: bench.problems };
  const { table } = loose;
  const onBench = { ...table, origin: along(table.origin, table.z, bench.value) };
  const keeping = keepingOf(
    { table: onBench, shop: request.shop },
    { gathering, heat: loose.heat, saddle: loose.saddle },
  );
  const low = withoutTall(request, chosen.stations, keeping);
  if (low.missing.length > 0 && !(whole && holdsAny(low.stations, gathering)))
    return { problems: low.missing.flatMap(({ why }) => why) };
  const standing = low.stations.map(({ saddle, joints }, i) => ({ saddle: { ...saddle, number: i + 1 }, joints }));
  const stacks = stacksOf(standing, keeping);
  const groups = groupBases(standing, keeping);
  const parted = groups.map((group) => ({ group, base: partedBase(group, keeping) }));
  const bases = parted.flatMap(({ base }) => base ?? []);
  const pieces =
    bases.reduce((sum, { cells }) => sum + cells.length, 0) +
    [...stacks.values()].reduce((sum, rises) => sum + rises.length - 1, 0);
  if (bases.length < groups.length || pieces > MOST_PIECES) {
    const worst = parted.find(({ base }) => !base)?.group ?? groups[0]!;
    return { problems: [tooLarge(request, { group: worst, pieces })] };
  }
  const notHeld = [...chosen.missing, ...low.missing];
  const saddles = standing.map(({ saddle }) => saddle);
  return { value: { request, gathering, keeping, saddles, bases, stacks, notHeld }, problems: [] };
}

/** Whether two members of any one joint have saddles. */
const holdsAny = (stations: readonly Station[], { joints }: Gathering): boolean =>
  joints.some(
    ({ members }) =>
      members.filter((name) => stations.some(({ saddle }) => saddle.held.member.name === name)).length > 1,
  );

/** Where the bench may stand: under what lies over the bases, and of a whole assembly under all of it. */
function benchOf(stations: readonly Station[], keeping: Keeping, whole: boolean) {
  const numbered = stations.map(({ saddle, joints }, i) => ({ saddle: { ...saddle, number: i + 1 }, joints }));
  const groups = groupBases(numbered, keeping);
  return benchUnder(whole ? undefined : groups.map(({ size }) => size), keeping);
}

/** Height of the bench on the table's upright axis: as the job says, or as near to the tubes as it may. */
function benchHeight(
  request: CradleRequest,
  { bench, lowest }: { readonly bench: Mm; readonly lowest: Mm },
): Outcome<Mm> {
  const { height } = request.spec;
  if (height === undefined) return { value: bench, problems: [] };
  if (lowest - height <= bench + 1e-6) return { value: lowest - height, problems: [] };
  const least = lowest - bench;
  const message = `a height of ${figure(height)} mm leaves the base nearer to a seam than the heat distance, or no room for a strap: it takes ${figure(least)} mm`;
  return {
    problems: [
      toolProblem(request, {
        code: 'tool/no-room',
        message,
        hint: `give a height of ${figure(Math.ceil(least))} mm or more, a smaller heat, or leave it out`,
        measured: height,
        limit: least,
      }),
    ],
  };
}

/** Height of a post over the table. */
export const heightOf = ({ held, from, to }: Pick<Saddle, 'held' | 'from' | 'to'>, { table }: Keeping): Mm =>
  Math.max(...[from, (from + to) / 2, to].map((s) => shoulderAt(held, s, table)));

/** Stations less those that no post reaches; a member that has but one left of several is held no more. */
function withoutTall(
  request: CradleRequest,
  stations: readonly Station[],
  keeping: Keeping,
): { readonly stations: readonly Station[]; readonly missing: readonly NotHeld[] } {
  const fits = ({ saddle }: Station): boolean => {
    const tall = heightOf(saddle, keeping);
    return tall <= MOST_TALL && stackOf({ ...saddle, number: 0 }, { tall, keeping }) !== undefined;
  };
  const left = stations.filter(fits);
  const count = (all: readonly Station[], held: HeldPiece): number =>
    all.filter(({ saddle }) => saddle.held === held).length;
  const pieces = [...new Set(stations.map(({ saddle }) => saddle.held))];
  const lost = pieces.filter((held) => count(left, held) < Math.min(2, count(stations, held)));
  return {
    stations: left.filter(({ saddle }) => !lost.includes(saddle.held)),
    missing: lost.map((held) => {
      const own = stations.filter(({ saddle }) => saddle.held === held).map(({ saddle }) => saddle);
      return { held, why: [tooTall(request, { held, tall: Math.max(...own.map((one) => heightOf(one, keeping))) })] };
    }),
  };
}

/** Posts taller than the printer reaches, with what each of their pieces is. */
const stacksOf = (standing: readonly Standing[], keeping: Keeping): ReadonlyMap<Saddle, readonly Rise[]> =>
  new Map(
    standing.flatMap(({ saddle }) => {
      const rises = stackOf(saddle, { tall: heightOf(saddle, keeping), keeping }) ?? [];
      return rises.length > 1 ? [[saddle, rises] as const] : [];
    }),
  );

const tooTall = (request: CradleRequest, { held, tall }: { readonly held: HeldPiece; readonly tall: Mm }): Problem => {
  const [, , reach] = request.shop.printer.bed;
  return toolProblem(request, {
    code: 'tool/larger-than-bed',
    message: `the saddle of "${held.member.name}" would stand ${figure(tall)} mm over the bench: posts go up to ${MOST_TALL} mm, and are printed in pieces of up to ${figure(reach)} mm that each hold their strap`,
    hint: 'give another `up`, `stations` nearer to the joint, or a smaller `heat`',
    measured: tall,
    limit: MOST_TALL,
  });
};

function tooLarge(
  request: CradleRequest,
  { group, pieces }: { readonly group: Omit<Base, 'cells'>; readonly pieces: number },
): Problem {
  const [x, y] = group.size.map(({ low, high }) => high - low) as [Mm, Mm];
  const [bedX, bedY] = request.shop.printer.bed;
  const why =
    pieces > MOST_PIECES
      ? `it would take ${pieces} pieces, more than ${MOST_PIECES}`
      : 'its posts leave no place to part it at';
  const joints = group.joints.map((name) => `"${name}"`).join(', ');
  return toolProblem(request, {
    code: 'tool/larger-than-bed',
    message: `a base of ${figure(x)} x ${figure(y)} mm for ${joints} does not fit the bed of ${bedX} x ${bedY} mm: ${why}`,
    hint: 'hold fewer of these joints in one cradle, give `stations` nearer to the joint, or a smaller `heat`',
    measured: Math.max(x, y),
    limit: Math.max(bedX, bedY),
  });
}

/** How far a tube that is not over a base reaches below the bench, which then has to end beside it; none where all lies above. */
export function belowBench({ gathering, keeping }: CradlePlan): readonly { readonly name: string; readonly by: Mm }[] {
  return gathering.pieces.flatMap(({ member, piece }) => {
    const count = Math.max(1, Math.ceil((piece.to - piece.from) / 10));
    const heights = Array.from({ length: count + 1 }, (_, i) => {
      const s = piece.from + ((piece.to - piece.from) * i) / count;
      return unplace(keeping.table, frameAt(member.centerline, s).origin)[2];
    });
    const lowest = Math.min(...heights);
    return lowest < 0 ? [{ name: member.name, by: -lowest }] : [];
  });
}
