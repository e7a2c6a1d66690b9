import { along, type Mm } from '../geometry/vector.ts';
import type { FitUpCradleSpec } from '../job/fit-up.ts';
import { figure, type Outcome, type Problem } from '../job/problem.ts';
import { type Base, benchUnder, groupBases, partedBase } from './fit-up-base.ts';
import { type Keeping, keepingOf } from './fit-up-clear.ts';
import { type Gathering, gather } from './fit-up-joints.ts';
import { type Saddle, shoulderAt } from './fit-up-saddle.ts';
import { chooseStations } from './fit-up-stations.ts';
import { tableOver, waysUp } from './fit-up-table.ts';
import { type OtherRequest, toolProblem } from './request.ts';

export type CradleRequest = OtherRequest<FitUpCradleSpec>;

/** Everything that fixes a fit-up cradle before its solids are made: the table stands on the bench. */
export interface CradlePlan {
  readonly request: CradleRequest;
  readonly gathering: Gathering;
  readonly keeping: Keeping;
  readonly saddles: readonly Saddle[];
  readonly bases: readonly Base[];
}

/** Most pieces a cradle is parted into: as many as there are letters to mark them with. */
const MOST_PIECES = 26;

/** The first of the ways up over which everything finds its place; where none does, what stands in the way of the best. */
export function planCradle(request: CradleRequest): Outcome<CradlePlan> {
  const gathered = gather(request);
  const gathering = gathered.value;
  if (!gathering) return { problems: gathered.problems };
  let first: readonly Problem[] | undefined;
  for (const up of waysUp(gathering, request.spec)) {
    const plan = planOver(request, gathering, keepingOver(request, gathering, up));
    if (plan.value) return plan;
    first ??= plan.problems;
  }
  return { problems: first ?? [] };
}

function keepingOver(request: CradleRequest, gathering: Gathering, up: Keeping['table']['z']): Keeping {
  const { shop, spec } = request;
  return keepingOf({ table: tableOver(gathering, up), shop }, { gathering, heat: spec.heat, saddle: spec.saddle });
}

function planOver(request: CradleRequest, gathering: Gathering, loose: Keeping): Outcome<CradlePlan> {
  const chosen = chooseStations(request, loose);
  if (!chosen.value) return { problems: chosen.problems };
  const standing = chosen.value.map(({ saddle, joints }, i) => ({ saddle: { ...saddle, number: i + 1 }, joints }));
  const groups = groupBases(standing, loose);
  const bench = benchHeight(request, benchUnder(groups, loose));
  if (bench.value === undefined) return { problems: bench.problems };
  const { table } = loose;
  const onBench = { ...table, origin: along(table.origin, table.z, bench.value) };
  const keeping = keepingOf(
    { table: onBench, shop: request.shop },
    { gathering, heat: loose.heat, saddle: loose.saddle },
  );
  const parted = groups.map((group) => ({ group, base: partedBase(group, keeping) }));
  const bases = parted.flatMap(({ base }) => base ?? []);
  const pieces = bases.reduce((sum, { cells }) => sum + cells.length, 0);
  if (bases.length < groups.length || pieces > MOST_PIECES) {
    const worst = parted.find(({ base }) => !base)?.group ?? groups[0]!;
    return { problems: [tooLarge(request, { size: worst.size, pieces })] };
  }
  const tall = tallest(
    standing.map(({ saddle }) => saddle),
    keeping,
  );
  if (tall > request.shop.printer.bed[2]) return { problems: [tooTall(request, tall)] };
  return { value: { request, gathering, keeping, saddles: standing.map(({ saddle }) => saddle), bases }, problems: [] };
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

/** Height of the highest post. */
const tallest = (saddles: readonly Saddle[], { table }: Keeping): Mm =>
  Math.max(...saddles.flatMap(({ held, from, to }) => [from, to].map((s) => shoulderAt(held, s, table))));

const tooTall = (request: CradleRequest, tall: Mm): Problem =>
  toolProblem(request, {
    code: 'tool/larger-than-bed',
    message: `its highest saddle stands ${figure(tall)} mm over the bench; the printer reaches ${request.shop.printer.bed[2]} mm`,
    hint: 'give another `up`, `stations` nearer to the joint, or a smaller `heat`',
    measured: tall,
    limit: request.shop.printer.bed[2],
  });

function tooLarge(
  request: CradleRequest,
  { size, pieces }: { readonly size: Base['size']; readonly pieces: number },
): Problem {
  const [x, y] = size.map(({ low, high }) => high - low) as [Mm, Mm];
  const [bedX, bedY] = request.shop.printer.bed;
  const why =
    pieces > MOST_PIECES
      ? `it would take ${pieces} pieces, more than ${MOST_PIECES}`
      : 'its posts leave no place to part it at';
  return toolProblem(request, {
    code: 'tool/larger-than-bed',
    message: `a base of ${figure(x)} x ${figure(y)} mm does not fit the bed of ${bedX} x ${bedY} mm: ${why}`,
    hint: 'hold fewer joints in one cradle, give `stations` nearer to the joint, or a smaller `heat`',
    measured: Math.max(x, y),
    limit: Math.max(bedX, bedY),
  });
}
