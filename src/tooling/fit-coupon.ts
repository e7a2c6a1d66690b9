import { centerlineFrom } from '../geometry/centerline.ts';
import { frameFrom } from '../geometry/frame.ts';
import { IDENTITY, placementFrom } from '../geometry/placement.ts';
import { sectionHeight, sectionWidth } from '../geometry/section.ts';
import { LEAST_WALL } from '../geometry/tolerance.ts';
import type { Mm, Vec2 } from '../geometry/vector.ts';
import type { FitCouponSpec } from '../job/bench-tools.ts';
import type { SectionSpec, Shop } from '../job/job.ts';
import { figure } from '../job/problem.ts';
import type { Solid } from '../solid/expression.ts';
import { sunkLines } from './label.ts';
import type { OtherRequest, ToolMaker } from './request.ts';
import { lengthText, markOf } from './revision.ts';
import { facetRoom } from './stations.ts';
import type { HeldTube, Tool, ToolPart } from './tool.ts';
import { grownOutline, notchMouth, slab, type UprightTube, uprightBore, uprightNotch } from './upright.ts';

/** Height of the gauges over the bed: enough to feel whether a tube tilts in them. */
const TALL: Mm = 10;
/** Rails under each row carry its numbers; the first also the title. */
const NUMBER_RAIL: Mm = 8;
const TITLE_RAIL: Mm = 8;
/** Narrowest place for one gauge's number. */
const NUMBER_ROOM: Mm = 12;
/** Share of a half gauge's size at which its corners are cut off: an eighth of a turn. */
const STIFF = 0.42;
const STEPS = 6;
const STEP: Mm = 0.1;

/** One gauge on the bed; `at` is the axis of its tube. */
interface Gauge {
  readonly clearance: Mm;
  readonly at: Vec2;
}

interface CouponPlan {
  readonly request: OtherRequest<FitCouponSpec>;
  readonly section: SectionSpec;
  readonly half: boolean;
  readonly revision: string;
  /** Half sizes of every gauge's outside: that of the widest, so that all join alike. */
  readonly across: Mm;
  readonly up: Mm;
  /** Outside of the gauges beyond the tube. */
  readonly grown: Mm;
  readonly pitch: Mm;
  readonly rowPitch: Mm;
}

/**
 * Ladder of gauges round one section at stepped clearances, printed as sleeves and cradles are, axis upright: the
 * tightest that the shop's own tube slides through tells the number to put into `shop.fit.slide`.
 */
export const fitCoupon: ToolMaker<OtherRequest<FitCouponSpec>> = (request) => {
  const { spec, solution, shop } = request;
  const section = solution.job.sections.find(({ name }) => name === spec.section);
  if (!section) throw new Error(`internal: fit coupon of unknown section ${spec.section}`);
  const clearances = ladder(spec, shop);
  const bed: Vec2 = [
    Math.max(shop.printer.bed[0], shop.printer.bed[1]),
    Math.min(shop.printer.bed[0], shop.printer.bed[1]),
  ];
  const plans = spec.shape === 'auto' ? [false, true] : [spec.shape === 'half'];
  const layouts = plans.map((half) => {
    const plan = couponPlan(request, { section, half, clearances });
    return { plan, beds: laidOut(plan, { clearances, bed }) };
  });
  const [first, second] = layouts as [(typeof layouts)[0], ...typeof layouts];
  const { plan, beds } = second && (first.beds?.length ?? Number.POSITIVE_INFINITY) > 1 && second.beds ? second : first;
  if (beds) return { value: couponTool(plan, { beds, clearances }), problems: [] };
  // One gauge is larger than the bed: each is a part of its own, to be printed in pieces.
  const alone = clearances.map((clearance): readonly Gauge[] => [{ clearance, at: [0, 0] }]);
  return { value: couponTool(layouts.at(-1)!.plan, { beds: alone, clearances }), problems: [] };
};

/** Clearances in order, each once; without a list six steps about the shop's own fit, none below one step. */
function ladder({ clearances }: FitCouponSpec, { fit }: Shop): readonly Mm[] {
  const tenth = (x: Mm): Mm => Math.round(x / STEP) * STEP;
  const first = Math.max(STEP, tenth(fit.slide) - 2 * STEP);
  const given = clearances ?? Array.from({ length: STEPS }, (_, i) => Math.round((first + i * STEP) * 1000) / 1000);
  return [...new Set(given)].sort((p, q) => p - q);
}

function couponPlan(
  request: OtherRequest<FitCouponSpec>,
  { section, half, clearances }: Pick<CouponPlan, 'section' | 'half'> & { readonly clearances: readonly Mm[] },
): CouponPlan {
  const { shop } = request;
  // Twice the room of facets: those of the outside bow inward as well.
  const grown = clearances.at(-1)! + 2 * facetRoom(shop.chordTolerance) + shop.wall;
  const across = sectionWidth(section.actual) / 2 + grown;
  const up = sectionHeight(section.actual) / 2 + grown;
  const sizes = Object.values(section.actual).filter((x): x is number => typeof x === 'number');
  const revision = markOf(
    ['fit-coupon', section.actual.kind, half ? 'half' : 'ring'],
    [shop.wall, shop.chordTolerance, ...sizes, ...clearances],
  );
  return {
    request,
    section,
    half,
    revision,
    across,
    up,
    grown,
    pitch: Math.max(NUMBER_ROOM, 2 * across - shop.wall),
    rowPitch: NUMBER_RAIL + 2 * up - shop.wall / 2,
  };
}

/** Height of a half gauge's sides over the tube's middle: past its widest place, so that both sides touch it. */
const rise = ({ up }: CouponPlan): Mm => Math.max(4, 0.15 * up);

/** Gauges in rows from the lower left, as many a bed as it takes; undefined where not even one fits. */
function laidOut(
  plan: CouponPlan,
  { clearances, bed }: { readonly clearances: readonly Mm[]; readonly bed: Vec2 },
): readonly (readonly Gauge[])[] | undefined {
  const { across, up, pitch, rowPitch, half } = plan;
  const tall = (rows: number): Mm =>
    TITLE_RAIL + NUMBER_RAIL + (half ? up + rise(plan) : 2 * up) + (rows - 1) * rowPitch;
  const columns = Math.floor((bed[0] - 2 * across) / pitch) + 1;
  const rows = half ? (tall(1) <= bed[1] ? 1 : 0) : Math.floor((bed[1] - tall(1)) / rowPitch) + 1;
  if (columns < 1 || rows < 1) return undefined;
  const beds = Math.ceil(clearances.length / (columns * rows));
  const each = Math.ceil(clearances.length / beds);
  const wide = Math.min(columns, Math.ceil(each / Math.ceil(each / columns)));
  return Array.from({ length: beds }, (_, b) =>
    clearances.slice(b * each, (b + 1) * each).map((clearance, i): Gauge => {
      return { clearance, at: [(i % wide) * pitch, Math.floor(i / wide) * rowPitch] };
    }),
  );
}

function couponTool(
  plan: CouponPlan,
  { beds, clearances }: { readonly beds: readonly (readonly Gauge[])[]; readonly clearances: readonly Mm[] },
): Tool {
  const { request, section, half, revision } = plan;
  const { name, path, solution } = request;
  const { units } = solution.job;
  const gauge = half ? 'half ring' : 'ring';
  const parts = beds.map((gauges, i) =>
    couponPart(plan, { gauges, name: beds.length === 1 ? name : `${name}-${String.fromCharCode(97 + i)}` }),
  );
  return {
    name,
    kind: 'fit-coupon',
    title: `Fit coupon for ${section.name}`,
    for: section.name,
    path,
    revision,
    parts,
    facts: [
      { label: 'section', value: section.name },
      { label: 'clearances', value: clearances.map((c) => numberText(c, units)).join(', ') },
      { label: 'tightest', value: clearances[0]!, unit: 'mm' },
      { label: 'loosest', value: clearances.at(-1)!, unit: 'mm' },
    ],
    use: [
      `Deburr and clean a cut-off of ${section.name}; take the fringe of the first layer off the print.`,
      half
        ? `Press the tube square into each ${gauge}, the tightest first: one is right when the tube drops to the bottom and does not rock.`
        : `Push the tube square through each ${gauge}, the tightest first: one is right when it slides all the way by hand and does not rattle.`,
      `Put the number beside it into shop.fit.slide (radial clearance, ${units === 'mm' ? 'mm' : 'inches'}): every tool is then made with it.`,
      'Do it again after a change of printer, nozzle, material or slicer settings.',
    ],
  };
}

/** A clearance as it is written into the job: bare, in its units. */
const numberText = (mm: Mm, units: 'mm' | 'in'): string =>
  units === 'mm' ? figure(Math.round(mm * 1000) / 1000) : (mm / 25.4).toFixed(3);

function couponPart(
  plan: CouponPlan,
  { gauges, name }: { readonly gauges: readonly Gauge[]; readonly name: string },
): ToolPart {
  const middle = middleOf(plan, gauges);
  const centered = gauges.map(({ clearance, at }) => ({
    clearance,
    at: [at[0] - middle[0], at[1] - middle[1]] as const,
  }));
  const tubes = centered.map((gauge) => heldTube(plan, gauge));
  const bodies = [...centered.map((gauge) => gaugeBody(plan, gauge)), ...rails(plan, centered)];
  const cuts = [...centered.flatMap((gauge) => gaugeCuts(plan, gauge)), ...labels(plan, centered)];
  const solid: Solid = {
    kind: 'subtract',
    name: 'fit coupon',
    from: { kind: 'union', name: 'body', of: bodies },
    cuts,
  };
  return { name, solid, pose: IDENTITY, tubes, leastWall: LEAST_WALL, features: [] };
}

function middleOf(plan: CouponPlan, gauges: readonly Gauge[]): Vec2 {
  const right = Math.max(...gauges.map(({ at }) => at[0])) + plan.across;
  const top = Math.max(...gauges.map(({ at }) => at[1])) + (plan.half ? rise(plan) : plan.up);
  return [(right - plan.across) / 2, (top - plan.up - NUMBER_RAIL - TITLE_RAIL) / 2];
}

function upright(plan: CouponPlan, { clearance, at }: Gauge): UprightTube {
  const { chordTolerance } = plan.request.shop;
  return {
    section: plan.section.actual,
    plan: ([a, b]) => [at[0] + a, at[1] + b],
    room: clearance + facetRoom(chordTolerance),
    chordTolerance,
  };
}

/** The tube as it stands in one gauge; it lies in no job. */
function heldTube(plan: CouponPlan, { clearance, at }: Gauge): HeldTube {
  const { name, actual } = plan.section;
  const past: Mm = 15;
  const start = frameFrom([at[0], at[1], -past], [0, 0, 1], [0, 1, 0]);
  const length = TALL + 2 * past;
  return {
    member: { name, section: actual, centerline: centerlineFrom(start, [{ kind: 'straight', length }]) },
    from: 0,
    to: length,
    insertion: plan.half ? { kind: 'lift', out: [0, 1, 0] } : { kind: 'slide' },
    clearance: { least: clearance, most: clearance + 2 * facetRoom(plan.request.shop.chordTolerance) },
  };
}

function gaugeBody(plan: CouponPlan, gauge: Gauge): Solid {
  const outline = grownOutline(upright(plan, gauge), plan.grown);
  if (!plan.half) return slab('ring', outline, TALL);
  const [x, y] = gauge.at;
  const top = y + rise(plan);
  // Full at the corners: thin arms would spread under the hand and tell a tighter fit than there is.
  const stiff = [-1, 1].flatMap((side): Vec2[] => [
    [x + side * plan.across, top],
    [x + side * plan.across, y - STIFF * plan.up],
    [x + side * STIFF * plan.across, y - plan.up],
  ]);
  return slab('half ring', [...outline.filter((p) => p[1] <= y), ...stiff], TALL);
}

function gaugeCuts(plan: CouponPlan, gauge: Gauge): readonly Solid[] {
  const tube = upright(plan, gauge);
  if (!plan.half) return [uprightBore(tube, TALL)];
  const half = sectionWidth(plan.section.actual) / 2 + tube.room;
  return [
    ...uprightNotch(tube, { height: TALL, out: [0, 1], lift: 2 * plan.up }),
    notchMouth({ axis: gauge.at, out: [0, 1], half, edge: rise(plan), height: TALL }),
  ];
}

/** Rows of gauges, lowest first. */
function rowsOf(gauges: readonly Gauge[]): readonly (readonly Gauge[])[] {
  const levels = [...new Set(gauges.map(({ at }) => at[1]))];
  return levels.map((y) => gauges.filter(({ at }) => at[1] === y));
}

/** A rail under each row joins its gauges and carries their numbers; the lowest is as long as the longest row. */
function rails(plan: CouponPlan, gauges: readonly Gauge[]): readonly Solid[] {
  return rowsOf(gauges).map((row, i) => {
    const half = Math.max(plan.across, NUMBER_ROOM / 2);
    const [left, right] = [row[0]!.at[0] - half, row.at(-1)!.at[0] + half];
    const foot = row[0]!.at[1] - plan.up;
    const [low, high] = [foot - NUMBER_RAIL - (i === 0 ? TITLE_RAIL : 0), foot + plan.request.shop.wall / 2];
    return slab(
      `rail ${i + 1}`,
      [
        [left, low],
        [right, low],
        [right, high],
        [left, high],
      ],
      TALL,
    );
  });
}

function labels(plan: CouponPlan, gauges: readonly Gauge[]): readonly Solid[] {
  const { request, section, revision } = plan;
  if (!request.shop.labels) return [];
  const { units } = request.solution.job;
  const at = (x: Mm, y: Mm) => placementFrom([x, y, TALL], [0, 0, 1], [1, 0, 0]);
  const numbers = gauges.map(
    ({ clearance, at: [x, y] }): Solid =>
      sunkLines([[[numberText(clearance, units)]]], {
        at: at(x, y - plan.up - NUMBER_RAIL / 2 + 0.5),
        box: [plan.pitch - 1, NUMBER_RAIL - 1.5],
        letter: 5,
      }),
  );
  const first = rowsOf(gauges)[0]!;
  const [left, right] = [first[0]!.at[0], first.at(-1)!.at[0]];
  const wide = right - left + 2 * Math.max(plan.across, NUMBER_ROOM / 2) - 3;
  const size = lengthText(sectionWidth(section.actual), units);
  const title = sunkLines(
    [[[`${section.name} ${size} radial ${revision}`], [`${section.name} ${revision}`], [revision]]],
    {
      at: at((left + right) / 2, first[0]!.at[1] - plan.up - NUMBER_RAIL - TITLE_RAIL / 2 + 0.5),
      box: [wide, TITLE_RAIL - 1.5],
      letter: 4.5,
    },
  );
  return [...numbers, title];
}
