import { compose, IDENTITY, type Placement, place, unplace, unplaceDirection } from '../geometry/placement.ts';
import { LEAST_WALL } from '../geometry/tolerance.ts';
import type { Mm, Vec3 } from '../geometry/vector.ts';
import type { LabelSolid, Solid } from '../solid/expression.ts';
import { type Box, boxOf, type Columns, isStuff } from './columns.ts';
import type { Extent, Rectangle } from './split.ts';
import type { Feature } from './tool.ts';

/** What planes that part a tool keep away from, in print pose; a line in the cut's own direction may be crossed at need. */
export interface Region {
  readonly kind: 'letters' | 'cut' | 'rim' | 'window' | 'detail';
  readonly box: Box;
}

/** Room beside a blade's slot for the keys of the pieces on either side of it. */
const BESIDE_CUT: Mm = 9;
const BESIDE_HOLE: Mm = 4;
/** A joint nearer to a rim that it runs beside would leave a sliver, and look like the rim. */
const BESIDE_RIM: Mm = 8;
/** Width of a letter with the space behind it, and height of a line with the space under it, over a letter's height; least letters, mm. */
const LETTER = { wide: 1.15, line: 1.6, least: 2.5, squeezed: 0.85 } as const;
/** A cut that runs along more of a part than this cannot be kept clear of. */
const LONG_CUT = 0.5;

/** Letters, slots, holes and windows, and the smaller things that are cut out of a part. */
export function regionsOf(part: {
  readonly solid: Solid;
  readonly pose: Placement;
  readonly features: readonly Feature[];
}): readonly Region[] {
  const whole = boxOf(part.solid);
  const cuts = part.features.flatMap((feature): readonly Region[] => {
    const box = featureBox(feature, { pose: part.pose, whole });
    return box ? [{ kind: KINDS[feature.kind] ?? 'cut', box }] : [];
  });
  return [...cuts, ...detailsIn(part.solid, whole)];
}

/** How regions of features are called that are not the way of a blade or a drill. */
const KINDS: { readonly [kind in Feature['kind']]?: Region['kind'] } = { window: 'window', 'cut-edge': 'rim' };

function featureBox(
  feature: Feature,
  { pose, whole }: { readonly pose: Placement; readonly whole: Box },
): Box | undefined {
  if (feature.kind === 'slot') {
    const normal = unplaceDirection(pose, feature.cut.normal);
    const origin = unplace(pose, feature.cut.point);
    const [low, high] = [feature.keptOffset - BESIDE_CUT, feature.keptOffset + feature.width + BESIDE_CUT];
    // The strip between the slot's faces, as far as the part reaches to either side.
    const corners = [whole.min[1], whole.max[1]].flatMap((y) =>
      [low, high].map((off): Vec3 => [origin[0] + (off - (y - origin[1]) * normal[1]) / normal[0], y, 0]),
    );
    if (Math.abs(normal[0]) < 0.3) return undefined;
    return {
      min: [Math.min(...corners.map(([x]) => x)), whole.min[1], whole.min[2]],
      max: [Math.max(...corners.map(([x]) => x)), whole.max[1], whole.max[2]],
    };
  }
  if (feature.kind === 'bore') {
    const axis = unplaceDirection(pose, feature.axis);
    const origin = unplace(pose, feature.point);
    const ends = [0, feature.length].map(
      (t): Vec3 => [origin[0] + axis[0] * t, origin[1] + axis[1] * t, origin[2] + axis[2] * t],
    );
    return grown(ends, feature.radius + BESIDE_HOLE);
  }
  if (feature.kind === 'cut-edge') {
    const box = grown(
      feature.curve.samples.map(({ point }) => unplace(pose, point)),
      BESIDE_RIM,
    );
    return isDetail(box, whole) ? box : undefined;
  }
  if (feature.kind === 'window')
    return grown(
      feature.edge.map((p) => unplace(pose, p)),
      BESIDE_HOLE,
    );
  return undefined;
}

function grown(points: readonly Vec3[], by: Mm): Box {
  const low = (k: 0 | 1 | 2): Mm => Math.min(...points.map((p) => p[k])) - by;
  const high = (k: 0 | 1 | 2): Mm => Math.max(...points.map((p) => p[k])) + by;
  return { min: [low(0), low(1), low(2)], max: [high(0), high(1), high(2)] };
}

/** Letters wherever they are, and what is cut out within part of the whole. */
function detailsIn(solid: Solid, whole: Box, at: Placement = IDENTITY): readonly Region[] {
  switch (solid.kind) {
    case 'place':
      return detailsIn(solid.of, whole, compose(at, solid.at));
    case 'either':
      return detailsIn(solid.of[0], whole, at);
    case 'union':
    case 'intersect':
      return solid.of.flatMap((one) => detailsIn(one, whole, at));
    case 'subtract':
      return [
        ...detailsIn(solid.from, whole, at),
        ...solid.cuts.flatMap((cut): readonly Region[] =>
          cut.kind === 'label'
            ? [{ kind: 'letters', box: grownBox(boxOf(narrowed(cut), at), 1.5) }]
            : isDetail(boxOf(cut, at), whole)
              ? [{ kind: 'detail', box: grownBox(boxOf(cut, at), LEAST_WALL + 0.6) }]
              : [],
        ),
      ];
    default:
      return [];
  }
}

const isDetail = ({ min, max }: Box, whole: Box): boolean =>
  ([0, 1] as const).some((k) => max[k] - min[k] < LONG_CUT * (whole.max[k] - whole.min[k]));

const grownBox = ({ min, max }: Box, by: Mm): Box => ({
  min: [min[0] - by, min[1] - by, min[2] - by],
  max: [max[0] + by, max[1] + by, max[2] + by],
});

/** A label in a box no larger than its letters take, so that planes can pass beside them. */
export function narrowed(label: LabelSolid): LabelSolid {
  return setIn(label, LETTER.wide * label.letter, LETTER.line * label.letter);
}

/** The same in as little room as its letters can be read in. */
export function squeezed(label: LabelSolid): LabelSolid {
  return setIn(label, LETTER.wide * LETTER.least * LETTER.squeezed, LETTER.line * LETTER.least);
}

/**
 * A label moved along its line to one side of where it was, if there it lies on the same flat face: stuff behind all of it
 * and nothing before it.
 */
export function aside(
  label: LabelSolid,
  { lines, at, side }: { readonly lines: Columns; readonly at: Placement; readonly side: 1 | -1 },
): LabelSolid {
  const set = narrowed(label);
  const [wide, tall] = set.box;
  const { x, origin } = label.at;
  const step = side * (wide / 2 + BESIDE_LETTERS);
  const moved: LabelSolid = {
    ...set,
    at: { ...label.at, origin: [origin[0] + x[0] * step, origin[1] + x[1] * step, origin[2] + x[2] * step] },
  };
  const on = compose(at, moved.at);
  const spread = (long: Mm): readonly Mm[] => [-0.5, -0.25, 0, 0.25, 0.5].map((k) => k * (long + 2));
  const whole = spread(wide).every((a) =>
    spread(tall).every((b) => FACE.every(({ off, solid }) => isStuff(lines, place(on, [a, b, off])) === solid)),
  );
  return whole ? moved : label;
}

/** A plane beside letters that were moved off the middle stays so far from them. */
const BESIDE_LETTERS: Mm = 4;
/** Stuff and none behind and before a flat face, farther from it than letters are sunk and lines stand apart. */
const FACE = [
  { off: -LEAST_WALL, solid: true },
  { off: -1.2, solid: true },
  { off: 1, solid: false },
] as const;

/** A label with so much room for a letter and for a line, but no more than it had. */
function setIn(label: LabelSolid, letter: Mm, line: Mm): LabelSolid {
  const letters = Math.max(...label.lines.map((text) => text.length));
  const room = [letter * letters, line * label.lines.length].map((long) => long + 2 * label.stroke) as [Mm, Mm];
  return { ...label, box: [Math.min(label.box[0], room[0]), Math.min(label.box[1], room[1])] };
}

/**
 * Regions as rectangles on the bed that no plane may cross. What is longer than a share of the part along one axis keeps
 * planes off square to the other alone.
 */
export function wholeOf(regions: readonly Region[], whole: Box): readonly Rectangle[] {
  return regions.flatMap(({ kind, box }): readonly Rectangle[] => {
    const [x, y] = ([0, 1] as const).map((k): Extent => ({ low: box.min[k], high: box.max[k] })) as [Extent, Extent];
    const long = ([0, 1] as const).map((k) => box.max[k] - box.min[k] > LONG_CUT * (whole.max[k] - whole.min[k]));
    if (kind === 'letters' || long[0] === long[1]) return [[x, y]];
    // A fence of short stretches across, between which planes may pass.
    return long[0] ? slices(x).map((at) => [at, y]) : slices(y).map((at) => [x, at]);
  });
}

const FENCE: Mm = 4;

/** Places along a stretch, each without length. */
function slices({ low, high }: Extent): readonly Extent[] {
  const count = Math.max(2, Math.ceil((high - low) / FENCE) + 1);
  return Array.from({ length: count }, (_, i) => {
    const at = low + ((high - low) * i) / (count - 1);
    return { low: at, high: at };
  });
}

/** Letters are never parted upward or sideways: the heights they stand at. */
export const lettersAt = (regions: readonly Region[]): readonly Extent[] =>
  regions.filter(({ kind }) => kind === 'letters').map(({ box }) => ({ low: box.min[2], high: box.max[2] }));
