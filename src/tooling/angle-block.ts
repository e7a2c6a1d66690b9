import { cosd, sind } from '../geometry/angle.ts';
import { IDENTITY, placementFrom } from '../geometry/placement.ts';
import { FOOT_CHAMFER, LEAST_WALL } from '../geometry/tolerance.ts';
import type { Deg, Mm, Vec2, Vec3 } from '../geometry/vector.ts';
import type { AngleBlockSpec } from '../job/job.ts';
import type { Solid } from '../solid/expression.ts';
import { sunkLines } from './label.ts';
import type { OtherRequest, ToolMaker } from './request.ts';
import { angleText, lengthText, markOf } from './revision.ts';
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
  const { angleDeg, length } = spec;
  const revision = markOf(['angle-block'], [angleDeg, length]);
  const corners = outline(spec);
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
  const label = sunkLines([[[`${angleText(angleDeg)} ${revision}`], [revision]]], {
    at: placementFrom([0, 0, THICK], [0, 0, 1], [1, 0, 0]),
    box: [length / 2, Math.min(14, (length * sind(angleDeg)) / 3 + 3)],
    letter: 6,
  });
  const tool: Tool = {
    name,
    kind: 'angle-block',
    title: `Angle block, ${angleText(angleDeg)}`,
    for: angleText(angleDeg),
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
      { label: 'length of the faces', value: length, unit: 'mm' },
    ],
    use: [
      `Lay one face against the fence and turn the saw until its blade lies along the other: it stands ${angleText(angleDeg)} from the fence.`,
      `Or hold it between two tubes: both faces, ${lengthText(length, solution.job.units)} long, touch all along when the angle is right.`,
    ],
  };
  return { value: tool, problems: [] };
};

/** Corner points of the block, counterclockwise: out along the first face, back along the second, across the relief. */
function outline({ angleDeg, length }: AngleBlockSpec): readonly Vec2[] {
  const [c, s] = [cosd(angleDeg), sind(angleDeg)];
  // A small angle is cut off where it is still thick enough to print.
  const relief = Math.max(RELIEF, LEAST_WALL / (1.6 * sind(angleDeg / 2)));
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
