import { besideAt } from '../geometry/centerline.ts';
import { tubeReach } from '../geometry/tube-shape.ts';
import type { Mm, Vec2, Vec3 } from '../geometry/vector.ts';
import { type Bounds, meshBounds } from '../solid/mesh-check.ts';
import type { Piece, Solution } from '../solve/solution.ts';
import { type Dimension, dimensionMarks } from './axonometric-dimension.ts';
import { BALLOON_COLUMN, balloons } from './balloons.ts';
import { type DrawnPicture, drawnPicture, type Free, type PictureMesh, picturePlan } from './picture.ts';
import { PIECE_COLORS } from './picture-colors.ts';
import { pieceMesh } from './piece-mesh.ts';
import type { Rgba } from './png.ts';
import { overallFigure } from './sheet-figures.ts';
import { type Mark, moved } from './sheet-paper.ts';

/** From the front, over the viewer's right: front is -y of the job, and the nearest corner the one of least x and y. */
const VIEW = { from: [-0.6, -1, 0.75] } as const;
const PIXELS = { width: 1200, height: 800 } as const;

/** On paper: the picture with a column for item numbers on either side. */
const WIDE: Mm = 172;
/** Between the outermost ink and the picture's edge. */
const EDGE: Mm = 1;
/** A leader's end this far from everything else cannot be mistaken. */
const CLEAR: Mm = 12;

/** The assembly as it will be welded, seen from a corner. */
export interface AssemblyPicture {
  readonly rgba: Rgba;
  /** The whole drawing, and where the picture stands in it. */
  readonly width: Mm;
  readonly height: Mm;
  readonly image: { readonly at: Vec2; readonly width: Mm; readonly height: Mm };
  /** Numbers with leaders (ISO 6433) and overall dimensions (ISO 129-1), to be drawn over the picture. */
  readonly marks: readonly Mark[];
  /** Along x, y and z of the job. */
  readonly size: Vec3;
}

/** All pieces with their cut ends as solved, numbered in the order of the cut list, and the size of the whole. */
export function assemblyPicture({ pieces, job }: Solution): AssemblyPicture {
  const meshes = pieces.map(
    (piece, i): PictureMesh => ({ mesh: pieceMesh(piece), color: PIECE_COLORS[i % PIECE_COLORS.length]! }),
  );
  const { min, max } = boundsOf(meshes);
  const size: Vec3 = [max[0] - min[0], max[1] - min[1], max[2] - min[2]];
  const dimensions = overallDimensions({ min, max }, (mm) => overallFigure(mm, job.units));
  const width = WIDE - 2 * BALLOON_COLUMN;
  const height = (width * PIXELS.height) / PIXELS.width;
  const perMm = PIXELS.width / width;
  // Dimensions start from the corners of the box round the work, which may lie far beside the work itself.
  const room = dimensions.flatMap(({ from, to }) => [from, to]);
  const ink = (free: Free): readonly Mark[] => {
    const { zoom, at } = picturePlan(meshes, { ...PIXELS, view: VIEW, room, free });
    const view = { perPaper: perMm / zoom, toPaper: (p: Vec3) => scale2(at(p), 1 / perMm) };
    return dimensions.flatMap((dimension) => dimensionMarks(dimension, view));
  };
  const free = freed(ink, { width, height, perMm });
  const drawn = drawnPicture(meshes, { ...PIXELS, view: VIEW, room, free });
  const onPaper = (point: Vec3): Vec2 => {
    const [x, y] = scale2(drawn.spot(point).at, 1 / perMm);
    return [BALLOON_COLUMN + x, y];
  };
  return {
    rgba: drawn.rgba,
    width: WIDE,
    height,
    image: { at: [BALLOON_COLUMN, 0], width, height },
    marks: [
      ...balloons(leaderEnds(pieces, drawn, onPaper), { width: WIDE, height }),
      ...ink(free).map((mark) => moved(mark, [BALLOON_COLUMN, 0])),
    ],
    size,
  };
}

const scale2 = ([x, y]: Vec2, by: number): Vec2 => [x * by, y * by];

/** Dimensions stand as far off on paper whatever the size of the work: the more room they are given, the nearer they come. */
const ROUNDS = 4;

/** Pixels to keep free on each side, so that all of the ink stays on the picture. */
function freed(
  ink: (free: Free) => readonly Mark[],
  paper: { readonly width: Mm; readonly height: Mm; readonly perMm: number },
): Free {
  let free: Free = [0, 0, 0, 0];
  for (let round = 0; round < ROUNDS; round++) {
    const points = ink(free).flatMap((mark) => (mark.kind === 'line' || mark.kind === 'fill' ? mark.points : []));
    const [xs, ys] = [points.map(([x]) => x), points.map(([, y]) => y)];
    const over = [-Math.min(...xs), -Math.min(...ys), Math.max(...xs) - paper.width, Math.max(...ys) - paper.height];
    const [left, top, right, bottom] = free.map((pixels, i) => pixels + Math.max(0, over[i]! + EDGE) * paper.perMm);
    free = [left!, top!, right!, bottom!];
    if (over.every((by) => by <= -EDGE / 2)) break;
  }
  return free;
}

function boundsOf(meshes: readonly PictureMesh[]): Bounds {
  const boxes = meshes.map(({ mesh }) => meshBounds(mesh));
  const corner = (end: 'min' | 'max', pick: (...values: readonly number[]) => number): Vec3 => [
    pick(...boxes.map((box) => box[end][0])),
    pick(...boxes.map((box) => box[end][1])),
    pick(...boxes.map((box) => box[end][2])),
  ];
  return { min: corner('min', Math.min), max: corner('max', Math.max) };
}

/** Along the two lower edges of the box round the work that face the viewer, and up its edge at the right. */
function overallDimensions({ min, max }: Bounds, text: (mm: Mm) => string): readonly Dimension[] {
  const [x0, y0, z0] = min;
  const [x1, y1, z1] = max;
  return [
    { from: [x0, y0, z0], to: [x1, y0, z0], aside: [0, -1, 0], text: text(x1 - x0) },
    { from: [x0, y1, z0], to: [x0, y0, z0], aside: [-1, 0, 0], text: text(y1 - y0) },
    { from: [x1, y0, z0], to: [x1, y0, z1], aside: [1, 0, 0], text: text(z1 - z0) },
  ];
}

/** Shares of a piece's length that a leader may point to and that others are kept clear of, from its middle outward. */
const PLACES = [0.5, 0.42, 0.58, 0.34, 0.66, 0.26, 0.74, 0.18, 0.82, 0.1, 0.9] as const;
/** In half widths of the tube: what its own near side stands before its axis where it leans to the viewer. */
const OWN_SIDE = 2.2;

/** For each piece the place on paper that its leader points to: one that is seen, farthest from all other pieces. */
function leaderEnds(pieces: readonly Piece[], drawn: DrawnPicture, onPaper: (point: Vec3) => Vec2): readonly Vec2[] {
  const ways = pieces.map((piece) => PLACES.map((share) => pointAt(piece, share)));
  const onSheet = ways.map((way) => way.map(onPaper));
  return pieces.map((piece, i) => {
    const reach = OWN_SIDE * tubeReach(piece.member);
    const seen = onSheet[i]!.filter((_, k) => drawn.spot(ways[i]![k]!).behind <= reach);
    const others = onSheet.flatMap((way, k) => (k === i ? [] : way));
    return freestSpot(seen.length > 0 ? seen : onSheet[i]!, others);
  });
}

const pointAt = ({ member, from, to }: Piece, share: number): Vec3 =>
  besideAt(member.centerline, from + share * (to - from), 0, 0);

/** Of the places on a piece the one farthest from all other pieces as they are seen; the one nearer the middle where two are as far. */
function freestSpot(way: readonly Vec2[], others: readonly Vec2[]): Vec2 {
  const room = (spot: Vec2): Mm => Math.min(CLEAR, ...others.map((p) => Math.hypot(p[0] - spot[0], p[1] - spot[1])));
  return way.reduce((best, spot) => (room(spot) > room(best) + 0.5 ? spot : best));
}
