import { besideAt, type Centerline, generatorSpeed, segmentAt, type TaperSegment } from './centerline.ts';
import { type Form, formAt, formBetween, formKinks, type Quarter, quarterLength, quarterOf } from './form.ts';
import {
  formOf,
  insideCorner,
  type OutlinePoint,
  outlineAt,
  outlineKinks,
  perimeter,
  type Section,
  sectionReach,
} from './section.ts';
import { rulingAt, taperSection } from './taper.ts';
import type { Mm, Vec2, Vec3 } from './vector.ts';

/**
 * A section carried along a centerline, which tapers may change on the way. A generator keeps its u all along: on a tube
 * without tapers that is the share of the outline, on one with tapers the share of the mean of its sections, so that up,
 * right, down and left stay 0, 0.25, 0.5 and 0.75 and the generators of a taper are its rulings.
 */
export interface TubeShape {
  readonly section: Section;
  readonly centerline: Centerline;
}

const isTaper = (segment: Centerline['segments'][number]): segment is TaperSegment => segment.kind === 'taper';

export const tapersOf = ({ centerline }: TubeShape): readonly TaperSegment[] => centerline.segments.filter(isTaper);

export const isTapered = ({ centerline }: TubeShape): boolean => centerline.segments.some(isTaper);

/** Whether a taper of the tube moves its axis aside. */
export const isEccentric = (tube: TubeShape): boolean => tapersOf(tube).some(({ shift }) => Math.hypot(...shift) > 0);

/** The section at s, square to the centerline; past its ends the tube goes on as it is there. */
export function sectionAt({ section, centerline }: TubeShape, s: Mm): Section {
  if (centerline.segments.length === 0) return section;
  const segment = segmentAt(centerline, s);
  return segment.kind === 'taper' ? taperSection(segment, s - segment.s0) : (segment.section ?? section);
}

/** Radius of a circle round the axis that holds the tube's section wherever it is largest. */
export const tubeReach = (tube: TubeShape): Mm =>
  tapersOf(tube).reduce(
    (most, { from, to }) => Math.max(most, sectionReach(from), sectionReach(to)),
    sectionReach(tube.section),
  );

/** Mean of the sections a tube has: of its first and of each that a taper leads to. */
function meanForm(tube: TubeShape): Form {
  const forms = [tube.section, ...tapersOf(tube).map(({ to }) => to)].map(formOf);
  return forms.slice(1).reduce((mean, form, i) => formBetween(mean, form, 1 / (i + 2)), forms[0]!);
}

/** s at which the tube has the sections that all its others lie between: its start, and both ends of every taper. */
export const sectionMarks = (tube: TubeShape): readonly Mm[] =>
  [0, ...new Set(tapersOf(tube).flatMap(({ s0, length }) => [s0, s0 + length]))].filter((s, i) => i === 0 || s > 0);

/** How u is shared between flats and arcs of a tapered tube. */
export const quarterFor = (tube: TubeShape): Quarter => quarterOf(meanForm(tube));

/** Length round the tube that a full turn of u stands for. */
export const meanPerimeter = (tube: TubeShape): Mm =>
  isTapered(tube) ? 4 * quarterLength(quarterFor(tube)) : perimeter(tube.section);

/** Values of u where flats meet arcs, and the four sides. */
export const tubeKinks = (tube: TubeShape): readonly number[] =>
  isTapered(tube) ? formKinks(quarterFor(tube)) : outlineKinks(tube.section);

/** One line of the tube's surface, or beside it at a depth below it. */
export interface Generator {
  /** (right, up) beside the centerline at s, and the outline's normal. */
  readonly besideAt: (s: Mm) => OutlinePoint;
  readonly pointAt: (s: Mm) => Vec3;
  /** How fast the tangent plane rises outward along the centerline: 0 but on tapers. */
  readonly riseAt: (s: Mm) => number;
  /** How fast it runs on the surface for each mm of the centerline. */
  readonly speedAt: (s: Mm) => number;
  /** Most that its point moves for each mm along tapers of the centerline. */
  readonly speed: number;
}

/**
 * The generator at u, `depth` below the outside (above it where negative), square to the surface: on a taper it is the
 * ruling moved along the taper's own normal. Where two segments meet it goes from one line to the other where they cross.
 * A depth below the outside counts by the wall of the tube's first section, and in proportion where another has another wall.
 */
export function generatorOf(tube: TubeShape, u: number, depth: Mm = 0): Generator {
  const { centerline } = tube;
  if (!isTapered(tube)) {
    const place = outlineAt(tube.section, u, depth);
    const [a, b] = place.point;
    return {
      besideAt: () => place,
      pointAt: (s) => besideAt(centerline, s, a, b),
      riseAt: () => 0,
      speedAt: (s) => generatorSpeed(centerline, s, a, b),
      speed: 1,
    };
  }
  const lines = linesOf(tube, u);
  const breaks = lines.slice(1).map((line, i) => crossing(lines[i]!, line, depth));
  const lineAt = (s: Mm): Line => {
    let i = 0;
    while (i < breaks.length && s >= breaks[i]!) i++;
    return lines[i]!;
  };
  const beside = (s: Mm): OutlinePoint => lineAt(s).at(s, depth);
  const pointAt = (s: Mm): Vec3 => besideAt(centerline, s, ...beside(s).point);
  return {
    besideAt: beside,
    pointAt,
    riseAt: (s) => lineAt(s).rise,
    speedAt: (s) => lineAt(s).speed * generatorSpeed(centerline, s, ...beside(s).point),
    speed: Math.max(...lines.map((line) => line.speed)),
  };
}

/** One segment's part of a generator. */
interface Line {
  readonly s0: Mm;
  readonly rise: number;
  readonly speed: number;
  readonly at: (s: Mm, depth: Mm) => OutlinePoint;
}

function linesOf(tube: TubeShape, u: number): readonly Line[] {
  const quarter = quarterFor(tube);
  const first = tube.section.wall;
  const even = (s0: Mm, section: Section): Line => {
    const form = formOf(section);
    const { point, normal } = formAt(form, quarter, u);
    const at = (_: Mm, depth: Mm): OutlinePoint => {
      const deep = depth > 0 ? (depth * section.wall) / first : depth;
      return cornered(form, { point: along2(point, normal, -deep), normal }, deep);
    };
    return { s0, rise: 0, speed: 1, at };
  };
  const { segments, length } = tube.centerline;
  const lines = segments.map(
    (segment): Line =>
      segment.kind === 'taper'
        ? taperLine(segment, { ruling: rulingAt(segment, quarter, u), first })
        : even(segment.s0, segment.section ?? tube.section),
  );
  const [head, tail] = [segments[0]!, segments.at(-1)!];
  // Past a drawn end the tube goes on as it is there.
  return [
    ...(head.kind === 'taper' ? [even(Number.NEGATIVE_INFINITY, head.from)] : []),
    ...lines,
    ...(tail.kind === 'taper' ? [even(length, tail.to)] : []),
  ];
}

/** Outline point of one of the tube's sections by the tube's own count of u, so many mm below the outside. */
export function placeIn(
  tube: TubeShape,
  section: Section,
  at: { readonly u: number; readonly depth: Mm },
): OutlinePoint {
  if (!isTapered(tube)) return outlineAt(section, at.u, at.depth);
  const form = formOf(section);
  const { point, normal } = formAt(form, quarterFor(tube), at.u);
  return cornered(form, { point: along2(point, normal, -at.depth), normal }, at.depth);
}

/** Ellipses have no corner to end in. */
const cornered = (form: Form, moved: OutlinePoint, depth: Mm): OutlinePoint =>
  form.ellipses.length > 0 ? moved : insideCorner(form, moved, depth);

const along2 = (p: Vec2, q: Vec2, k: number): Vec2 => [p[0] + k * q[0], p[1] + k * q[1]];

function taperLine(
  taper: TaperSegment,
  { ruling, first }: { readonly ruling: ReturnType<typeof rulingAt>; readonly first: Mm },
): Line {
  const { at, slope, normal, rise } = ruling;
  const { length, shift } = taper;
  const lean = Math.hypot(1, rise);
  const drift: Vec2 = [slope[0] + shift[0] / length, slope[1] + shift[1] / length];
  return {
    s0: taper.s0,
    rise,
    speed: Math.hypot(1, ...drift),
    at: (s, depth) => {
      const t = s - taper.s0;
      if (depth === 0) return { point: along2(at, slope, t), normal };
      const section = taperSection(taper, t);
      const deep = depth > 0 ? (depth * section.wall) / first : depth;
      // Along the taper's normal, and back along the moved ruling to the plane at s.
      const back = (deep * rise) / lean;
      const moved = along2(along2(along2(at, slope, t), drift, -back), normal, -deep / lean);
      return cornered(formOf(section), { point: moved, normal }, deep * lean);
    },
  };
}

/** s at which two lines of one generator, both moved inward by `depth` square to themselves, meet near the second's start. */
function crossing(before: Line, after: Line, depth: Mm): Mm {
  const [p, q] = [before.rise, after.rise];
  if (depth === 0 || Math.abs(p - q) < 1e-12) return after.s0;
  return after.s0 + (depth * (Math.hypot(1, p) - Math.hypot(1, q))) / (p - q);
}

/** Outline point in the plane square to the centerline at s, `depth` below the outside. */
export const outlineOn = (tube: TubeShape, s: Mm, u: number, depth: Mm = 0): OutlinePoint =>
  isTapered(tube) ? generatorOf(tube, u, depth).besideAt(s) : outlineAt(tube.section, u, depth);
