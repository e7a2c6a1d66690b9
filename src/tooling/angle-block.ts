import { cosd, sind } from '../geometry/angle.ts';
import { setback } from '../geometry/bends.ts';
import type { BendSegment } from '../geometry/centerline.ts';
import { IDENTITY, placementFrom } from '../geometry/placement.ts';
import { FOOT_CHAMFER, LEAST_WALL } from '../geometry/tolerance.ts';
import type { Deg, Mm, Vec2, Vec3 } from '../geometry/vector.ts';
import type { AngleBlockSpec } from '../job/bench-tools.ts';
import { ANGLES } from '../job/limits.ts';
import type { Outcome } from '../job/problem.ts';
import type { Solid } from '../solid/expression.ts';
import { sunkLines, wrapped } from './label.ts';
import { type OtherRequest, type ToolMaker, toolProblem } from './request.ts';
import { angleText, lengthText, markOf } from './revision.ts';
import { extentsOf } from './stations.ts';
import type { Feature, Tool } from './tool.ts';

/** Height of the block on the bed, and the room left at its corner for a burr or a bend's inside. */
const THICK: Mm = 12;
const RELIEF: Mm = 4;
/** Past this angle the far ends are cut square, this wide. */
const WIDE: Deg = 90;
const BLUNT: Mm = 8;

/**
 * Wedge whose two upright faces stand at the angle: one against the fence, the other sets the blade; or both against the
 * legs of a bend. It is printed lying on its flat; no tube goes in.
 */
export const angleBlock: ToolMaker<OtherRequest<AngleBlockSpec>> = (request) => {
  const { spec, name, path, solution } = request;
  const found = angleOf(request);
  if (!found.value) return { problems: found.problems };
  const { angleDeg, what, use, clear } = found.value;
  // Past what the inside of a bend takes up at its corner the faces are as long as asked for.
  const length = spec.length + clear;
  const revision = markOf(['angle-block'], [angleDeg, length, clear]);
  const corners = outline({ angleDeg, length, clear });
  const middle: Vec2 = [
    corners.reduce((sum, [x]) => sum + x, 0) / corners.length,
    corners.reduce((sum, [, y]) => sum + y, 0) / corners.length,
  ];
  const flat = corners.map(([x, y]): Vec2 => [x - middle[0], y - middle[1]]);
  const body = chamfered(flat);
  const face = (p: Vec2, q: Vec2): Feature => {
    const long = Math.hypot(q[0] - p[0], q[1] - p[1]);
    const normal: Vec3 = [(q[1] - p[1]) / long, (p[0] - q[0]) / long, 0];
    return { kind: 'face', plane: { point: [p[0], p[1], 0], normal }, area: 0.8 * long * (THICK - FOOT_CHAMFER) };
  };
  const label = sunkLines(
    [[[`${angleText(angleDeg)} ${revision}`], [revision]], ...(what ? [[[what], ...wrapped(what)]] : [])],
    {
      // In a wide block letters run along the long side behind, which is nearer than either face is long.
      at: placementFrom(
        [0, 0, THICK],
        [0, 0, 1],
        angleDeg > WIDE ? [sind(angleDeg / 2), -cosd(angleDeg / 2), 0] : [1, 0, 0],
      ),
      box: [length / 2, Math.min(14, (length * sind(angleDeg)) / 3 + 3)],
      letter: 6,
    },
  );
  const tool: Tool = {
    name,
    kind: 'angle-block',
    title: `Angle block, ${angleText(angleDeg)}`,
    for: what ?? angleText(angleDeg),
    path,
    revision,
    parts: [
      {
        name,
        solid: { kind: 'subtract', name: 'angle block', from: body, cuts: [label] },
        pose: IDENTITY,
        tubes: [],
        leastWall: LEAST_WALL,
        features: [face(flat[0]!, flat[1]!), face(flat.at(-2)!, flat.at(-1)!)],
      },
    ],
    facts: [
      { label: 'between the faces', value: angleDeg, unit: 'deg' },
      { label: 'length of the faces', value: spec.length, unit: 'mm' },
    ],
    use: [
      ...use,
      `Each face is ${lengthText(spec.length, solution.job.units)} long; both stand square to the block's flat sides.`,
    ],
  };
  return { value: tool, problems: [] };
};

interface Angle {
  readonly angleDeg: Deg;
  /** What it is of, as engraved; nothing for a bare angle. */
  readonly what?: string;
  readonly use: readonly string[];
  /** From the corner of the two faces, along each: where nothing may be, for the inside of a bend lies there. */
  readonly clear: Mm;
}

/** The angle between the faces: as given, inside a bend, or between the tube and the blade of a flat cut. */
function angleOf(request: OtherRequest<AngleBlockSpec>): Outcome<Angle> {
  const { spec, solution } = request;
  const { angle } = spec;
  if (angle.kind === 'given') {
    const { angleDeg } = angle;
    const use = [
      `Lay one face against the fence and turn the saw until its blade lies along the other: it stands ${angleText(angleDeg)} from the fence.`,
      'Or hold it between two tubes: both faces touch all along when the angle is right.',
    ];
    return { value: { angleDeg, use, clear: 0 }, problems: [] };
  }
  if (angle.kind === 'bend') {
    const member = solution.members.find(({ name }) => name === angle.member);
    const bends = member?.centerline.segments.filter((x): x is BendSegment => x.kind === 'bend') ?? [];
    const bend = bends[angle.bend - 1];
    if (!bend) {
      const message = `${angle.member} has ${bends.length} bends, and bend ${angle.bend} is asked for`;
      return refused(request, message, 'bends are counted from the start of the member');
    }
    const angleDeg = 180 - bend.bendAngleDeg;
    if (angleDeg < ANGLES.block.min || angleDeg > ANGLES.block.max) {
      const message = `bend ${angle.bend} of ${angle.member} turns ${angleText(bend.bendAngleDeg)}, which leaves ${angleText(angleDeg)} between its legs`;
      return refused(
        request,
        message,
        `a block is made from ${ANGLES.block.min} to ${ANGLES.block.max} deg; use a straight edge, or marks`,
      );
    }
    const use = [
      `Hold it inside the bend: both faces lie along the legs when it is bent ${angleText(bend.bendAngleDeg)}, ${angleText(angleDeg)} between the legs.`,
      'Light under the tip: bend less. Light under the ends: bend more. Let the bend spring back before you look.',
    ];
    // The inside of the bend leaves the corner of its legs' inside lines by the setback of its own radius.
    const frame = bend.start;
    const inside = bend.clr - extentsOf(member!.section, frame, bend.toward).out;
    const clear = setback(inside, bend.bendAngleDeg) + RELIEF / 2;
    return { value: { angleDeg, what: `${angle.member} bend ${angle.bend}`, use, clear }, problems: [] };
  }
  const id = `${angle.end.member}.${angle.end.end}`;
  const flat = solution.ends.find((end) => end.id === id)?.flat;
  if (!flat)
    return refused(
      request,
      `${id} has no flat cut, and a blade stands at one angle`,
      'name an end that is mitered or trimmed',
      'tool/not-flat',
    );
  const angleDeg = 90 - flat.miterDeg;
  const use = [
    `Lay one face against the fence and turn the saw until its blade lies along the other: ${id} is then cut ${angleText(flat.miterDeg)} from square.`,
    'Or hold it against the tube after the cut: the other face lies all along the cut.',
  ];
  return { value: { angleDeg, what: id, use, clear: 0 }, problems: [] };
}

const refused = (
  request: OtherRequest<AngleBlockSpec>,
  message: string,
  hint: string,
  code: 'tool/cannot-build' | 'tool/not-flat' = 'tool/cannot-build',
): Outcome<never> => ({ problems: [toolProblem(request, { code, message, hint })] });

/** Corner points of the block, counterclockwise: out along the first face, back along the second, across the relief. */
function outline({
  angleDeg,
  length,
  clear,
}: {
  readonly angleDeg: Deg;
  readonly length: Mm;
  readonly clear: Mm;
}): readonly Vec2[] {
  const [c, s] = [cosd(angleDeg), sind(angleDeg)];
  // A small angle is cut off where it is still thick enough to print.
  const relief = Math.max(RELIEF, clear, LEAST_WALL / (1.6 * sind(angleDeg / 2)));
  const at = (r: Mm, inward: Mm): Vec2 => [r * c + inward * s, r * s - inward * c];
  // A wide angle would run out to a knife edge at the far ends of its faces.
  const blunt: readonly Vec2[] = angleDeg > WIDE ? [[length, BLUNT], at(length, BLUNT)] : [];
  return [[relief, 0], [length, 0], ...blunt, at(length, 0), at(relief, 0)];
}

/** A prism with the foot of its sides set back, so that the first layer's squeeze does not stand out of the faces. */
function chamfered(corners: readonly Vec2[]): Solid {
  const ring = (z: Mm, loop: readonly Vec2[]): readonly Vec3[] => loop.map(([x, y]): Vec3 => [x, y, z]);
  const foot = corners.map(([x, y], i): Vec2 => {
    const [px, py] = corners[(i + corners.length - 1) % corners.length]!;
    const [nx, ny] = corners[(i + 1) % corners.length]!;
    const [ax, ay] = [(x - px) / Math.hypot(x - px, y - py), (y - py) / Math.hypot(x - px, y - py)];
    const [bx, by] = [(nx - x) / Math.hypot(nx - x, ny - y), (ny - y) / Math.hypot(nx - x, ny - y)];
    // Both sides moved inward by the chamfer meet where their offsets along each other say.
    const k = FOOT_CHAMFER / (ax * by - ay * bx);
    return [x + k * (bx - ax), y + k * (by - ay)];
  });
  return {
    kind: 'hull',
    name: 'wedge',
    points: [...ring(0, foot), ...ring(FOOT_CHAMFER, corners), ...ring(THICK, corners)],
  };
}
