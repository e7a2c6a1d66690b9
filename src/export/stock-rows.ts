import type { CutBend, Stick, StickPart, StockPlan } from '../solve/nesting/nesting.ts';
import type { SheetTable } from './sheet-blocks.ts';
import { angleFigure, isSquare, lengthFigure, lengthText, plain, type Units } from './sheet-figures.ts';

/** What is taken from the rack: `2 x 6000.00 mm`; nothing where none is. */
export function onHandText({ sticks }: StockPlan, units: Units): string {
  return counted(sticks.filter(({ onHand }) => onHand).map(({ length }) => lengthText(length, units))).join('; ');
}

/** What is bought: `2 x 6000.00 mm; 1 bend of 90.00 deg`. */
export function boughtText({ sticks, bends }: StockPlan, units: Units): string {
  const lengths = counted(sticks.filter(({ onHand }) => !onHand).map(({ length }) => lengthText(length, units)));
  const turns = counted(
    bends.map(({ bendAngleDeg, clr }) => `${angleFigure(bendAngleDeg)} deg bend, clr ${lengthText(clr, units)}`),
  );
  return [...lengths, ...turns].join('; ') || 'nothing';
}

function counted(texts: readonly string[]): readonly string[] {
  const counts = new Map<string, number>();
  for (const text of texts) counts.set(text, (counts.get(text) ?? 0) + 1);
  return [...counts].map(([text, n]) => `${n} x ${text}`);
}

/** How the plan was cut, and how far it may be trusted to be the least. */
export function planText(plan: StockPlan, units: Units): string {
  const { sticks, bends, kerf, saw, squareEnd, trim, grip } = plan;
  const rack = onHandText(plan, units);
  const own = [
    `${rack === '' ? '' : `Take ${rack} from the rack. `}Buy ${boughtText(plan, units)}. Kerf ${lengthText(kerf, units)} (${saw})`,
    squareEnd > 0 ? `${lengthText(squareEnd, units)} squared off each raw end` : '',
    trim > 0 ? `${lengthText(trim, units)} left on each cut end` : '',
    grip > 0 && sticks.some(({ pieces }) => pieces.some(({ bent }) => bent))
      ? plan.gripByBender
        ? `up to ${lengthText(grip, units)} left on bent ends that are short of what the bender holds`
        : `${lengthText(grip, units)} of grip at each end of what is bent`
      : '',
  ].filter((part) => part !== '');
  const lengths =
    sticks.length === 0
      ? ''
      : plan.sticksProved
        ? 'No plan buys less length'
        : 'A plan that buys less length may be found';
  const turns =
    bends.length === 0
      ? ''
      : plan.bendsProved
        ? 'no plan buys less of bends'
        : 'a plan that buys less of bends may be found';
  const proof = [lengths, turns].filter((part) => part !== '').join('; ');
  return `${own.join(', ')}.${proof === '' ? '' : ` ${proof.charAt(0).toUpperCase()}${proof.slice(1)}.`}`;
}

/** Saw order of one bought length: each piece between its long points, from the datum end of the stick. */
export const stickTable = (
  stick: Stick,
  { no, units }: { readonly no: number; readonly units: Units },
): SheetTable => ({
  kind: 'table',
  title: `Stick ${no} of ${lengthText(stick.length, units)}${stick.onHand ? ', on hand' : ''}, from its datum end`,
  heads: ['piece', 'from', 'to', 'cuts deg'],
  sides: ['left', 'right', 'right', 'left'],
  rows: [
    ...stick.pieces.map((part) => [
      `${part.member}${part.bent ? ', to bend' : ''}${part.turned ? ', end first' : ''}`,
      lengthFigure(part.from, units),
      lengthFigure(part.to, units),
      cutsText(part),
    ]),
    ['left over', lengthFigure(stick.length - stick.left, units), lengthFigure(stick.length, units), ''],
  ],
});

/** Both angles from square, nearer the datum first; a star where one pass makes the neighbor's cut too. */
const cutsText = ({ ends }: StickPart): string =>
  ends.every(({ miterDeg }) => isSquare(miterDeg))
    ? 'square'
    : ends.map(({ miterDeg, shared }) => `${angleFigure(miterDeg)}${shared ? '*' : ''}`).join(' / ');

/** What is cut from one bought bend, in degrees from the tangent point of its first leg. */
export const bendTable = (
  bend: CutBend,
  { no, units }: { readonly no: number; readonly units: Units },
): SheetTable => ({
  kind: 'table',
  title: `Bend ${no}: ${angleFigure(bend.bendAngleDeg)} deg, clr ${lengthText(bend.clr, units)}, legs ${bend.legs.map((leg) => lengthFigure(leg, units)).join(' and ')}, from its first tangent point`,
  heads: ['piece', 'from deg', 'to deg', 'center from', 'to'],
  sides: ['left', 'right', 'right', 'right', 'right'],
  rows: [
    ...bend.pieces.map(({ member, turned, fromDeg, toDeg }) =>
      bendRow(bend, `${member}${turned ? ', end first' : ''}`, [fromDeg, toDeg]),
    ),
    ...bend.left.map(({ fromDeg, toDeg, arcLength }) =>
      bendRow(bend, `left over, arc ${shortFigure(arcLength, units)}`, [fromDeg, toDeg]),
    ),
  ].map(({ name, degs, centers }) => [name, ...degs.map(angleFigure), ...centers.map((x) => lengthFigure(x, units))]),
});

const bendRow = (bend: CutBend, name: string, degs: readonly [number, number]) => ({
  name,
  degs,
  centers: degs.map((deg) => along(bend, deg)),
});

/** Without the fraction of an inch, where columns are many. */
const shortFigure = (mm: number, units: Units): string => (units === 'mm' ? plain(mm, 2) : plain(mm / 25.4, 3));

const along = ({ clr }: CutBend, deg: number): number => (clr * deg * Math.PI) / 180;

/** What each piece with a bend needs, and the least bought bend that will do. */
export function needsTable({ needs }: StockPlan, units: Units): readonly SheetTable[] {
  if (needs.length === 0) return [];
  return [
    {
      kind: 'table',
      title: 'Bend that each piece needs',
      heads: ['piece', 'turn deg', 'clr', 'leg before', 'behind', 'least bought'],
      sides: ['left', 'right', 'right', 'right', 'right', 'left'],
      rows: needs.map(({ member, arcDeg, clr, legs, stock }) => [
        member,
        angleFigure(arcDeg),
        shortFigure(clr, units),
        ...legs.map((leg) => (leg > 0 ? shortFigure(leg, units) : '-')),
        stock ? `${angleFigure(stock.bendAngleDeg)} deg` : 'none',
      ]),
    },
  ];
}

/** All tables of a plan, in the order of the work. */
export const stockTables = (plan: StockPlan, units: Units): readonly SheetTable[] => [
  ...plan.sticks.map((stick, i) => stickTable(stick, { no: i + 1, units })),
  ...needsTable(plan, units),
  ...plan.bends.map((bend, i) => bendTable(bend, { no: i + 1, units })),
];

/** Where a piece is cut from. */
export interface StockPlace {
  /** `stick` or `bend`, counted from 1 within its section. */
  readonly kind: 'stick' | 'bend';
  readonly no: number;
  /** mm from the datum end of a stick, degrees from the first tangent point of a bend. */
  readonly from: number;
  readonly to: number;
}

/** The place of every piece that is nested, by its member. */
export function stockPlaces(plans: readonly StockPlan[]): ReadonlyMap<string, StockPlace> {
  const places = new Map<string, StockPlace>();
  for (const { sticks, bends } of plans) {
    for (const [i, { pieces }] of sticks.entries())
      for (const { member, from, to } of pieces) places.set(member, { kind: 'stick', no: i + 1, from, to });
    for (const [i, { pieces }] of bends.entries())
      for (const { member, fromDeg, toDeg } of pieces)
        places.set(member, { kind: 'bend', no: i + 1, from: fromDeg, to: toDeg });
  }
  return places;
}
