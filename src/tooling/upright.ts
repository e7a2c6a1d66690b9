import { IDENTITY } from '../geometry/placement.ts';
import { outlineAt, type Section } from '../geometry/section.ts';
import { FOOT_CHAMFER, LEAD_IN } from '../geometry/tolerance.ts';
import type { Mm, Vec2, Vec3 } from '../geometry/vector.ts';
import type { Solid } from '../solid/expression.ts';
import { bareTube, outlineUs } from './stations.ts';
import { convexHull, ringsMesh } from './sweep.ts';

/** A tube that stands square to the bed, as the print is made. */
export interface UprightTube {
  readonly section: Section;
  /** Section coordinates (right, up) to the bed's (x, y). */
  readonly plan: (p: Vec2) => Vec2;
  /** Radial room between tube and tool. */
  readonly room: Mm;
  readonly chordTolerance: Mm;
}

const raised = (loop: readonly Vec2[], z: Mm): readonly Vec3[] => loop.map(([x, y]): Vec3 => [x, y, z]);

/** Outline of the tube on the bed, grown by so much. */
export function grownOutline(tube: UprightTube, grown: Mm): readonly Vec2[] {
  return outlineUs(bareTube(tube.section), tube.room, tube.chordTolerance).map((u) =>
    tube.plan(outlineAt(tube.section, u, -grown).point),
  );
}

/** Convex slab with upright sides and the foot set back, so that the first layer's squeeze does not stand out of them. */
export function slab(name: string, loop: readonly Vec2[], height: Mm): Solid {
  const corners = convexHull(loop);
  return {
    kind: 'hull',
    name,
    points: [
      ...raised(drawnIn(corners, FOOT_CHAMFER), 0),
      ...raised(corners, FOOT_CHAMFER),
      ...raised(corners, height),
    ],
  };
}

/** Corners of a convex outline (counterclockwise) with every side moved inward. */
function drawnIn(corners: readonly Vec2[], by: Mm): readonly Vec2[] {
  return corners.map(([x, y], i): Vec2 => {
    const [px, py] = corners[(i + corners.length - 1) % corners.length]!;
    const [nx, ny] = corners[(i + 1) % corners.length]!;
    const [before, after] = [Math.hypot(x - px, y - py), Math.hypot(nx - x, ny - y)];
    const [ax, ay] = [(x - px) / before, (y - py) / before];
    const [bx, by_] = [(nx - x) / after, (ny - y) / after];
    // Both sides moved inward meet where their offsets along each other say.
    const k = by / (ax * by_ - ay * bx);
    return [x + k * (bx - ax), y + k * (by_ - ay)];
  });
}

/** Hole right through for a tube to slide in, flared at both ends. */
export function uprightBore(tube: UprightTube, height: Mm): Solid {
  const past = 0.5;
  const rings = (
    [
      [-past, LEAD_IN + past],
      [LEAD_IN, 0],
      [height - LEAD_IN, 0],
      [height + past, LEAD_IN + past],
    ] as const
  ).map(([z, more]) => raised(grownOutline(tube, tube.room + more), z));
  return { kind: 'mesh', name: 'bore', mesh: ringsMesh(rings, IDENTITY) };
}

/** Room for a tube that drops in sideways: its outline and all it passes on the way `out`, flared at the foot. */
export function uprightNotch(
  tube: UprightTube,
  { height, out, lift }: { readonly height: Mm; readonly out: Vec2; readonly lift: Mm },
): readonly Solid[] {
  const swept = (grown: Mm): readonly Vec2[] => {
    const outline = grownOutline(tube, grown);
    return convexHull([...outline, ...outline.map(([x, y]): Vec2 => [x + lift * out[0], y + lift * out[1]])]);
  };
  // The flare starts inside the notch: nowhere does it all but lie on its walls.
  const inside = 0.2;
  return [
    {
      kind: 'prism',
      name: 'notch',
      loops: [swept(tube.room)],
      height: height + 2,
      at: { ...IDENTITY, origin: [0, 0, -1] },
    },
    {
      kind: 'hull',
      name: 'notch foot',
      points: [
        ...raised(swept(tube.room + FOOT_CHAMFER + inside), -inside),
        ...raised(swept(tube.room - inside), FOOT_CHAMFER + inside),
      ],
    },
  ];
}

/** Flare at the mouth of a notch whose edge stands `edge` from the tube's axis along `out`, `half` wide to each side. */
export function notchMouth(mouth: {
  readonly axis: Vec2;
  readonly out: Vec2;
  readonly half: Mm;
  readonly edge: Mm;
  readonly height: Mm;
}): Solid {
  const { axis, out, half, edge, height } = mouth;
  const inside = 0.4;
  const over = 0.1;
  const at = (across: Mm, along: Mm): Vec2 => [
    axis[0] + along * out[0] - across * out[1],
    axis[1] + along * out[1] + across * out[0],
  ];
  const loop = [
    at(-half + inside, edge - LEAD_IN - inside),
    at(-half - LEAD_IN - over, edge + over),
    at(half + LEAD_IN + over, edge + over),
    at(half - inside, edge - LEAD_IN - inside),
  ];
  return {
    kind: 'prism',
    name: 'lead-in',
    loops: [convexHull(loop)],
    height: height + 2,
    at: { ...IDENTITY, origin: [0, 0, -1] },
  };
}
