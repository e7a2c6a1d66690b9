import { frameAt } from '../geometry/centerline.ts';
import { IDENTITY, type Placement, place, unplace } from '../geometry/placement.ts';
import { generatorOf, isTapered, tubeReach } from '../geometry/tube-shape.ts';
import { dot, type Mm, sub, type Vec3 } from '../geometry/vector.ts';
import type { Plane } from '../job/job.ts';
import type { Mesh } from '../solid/mesh.ts';
import type { CutEnd } from '../solve/solution.ts';
import { ringsMesh, welded } from '../tooling/sweep.ts';
import type { HeldMember, HeldTube, ShapedPart, ShapedTool } from '../tooling/tool.ts';
import type { PictureMesh } from './picture.ts';
import { pieceMesh } from './piece-mesh.ts';

/** Kept tube and waste as ghosts: steel blue for what is kept, red for what falls off. */
const KEPT = { part: 'kept', color: [120, 150, 190], opacity: 0.5 } as const;
const WASTE = { part: 'waste', color: [205, 110, 100], opacity: 0.3 } as const;
/** Tube that the next piece comes off: no waste, but not yet kept either. */
const TO_COME = { part: 'waste', color: KEPT.color, opacity: 0.25 } as const;

/** A tube that lies in a tool, or the waste of it. */
export interface TubeGhost extends PictureMesh {
  readonly member: string;
  readonly part: 'kept' | 'waste';
}

/** Rings along a drawn tube; a picture needs no chord tolerance. */
const RINGS = 24;

/**
 * The tubes as they lie in a part, in the part's print pose moved by `at`: where the tool cuts one, kept and waste in two
 * colors, each about two tube widths past the cut so that the tool stays the subject; else each as long as the tool holds it.
 */
export function tubeGhosts(tool: ShapedTool, part: ShapedPart, at: Placement): readonly TubeGhost[] {
  const placed = (p: Vec3): Vec3 => place(at, unplace(part.pose, p));
  const { end } = tool;
  return part.tubes.flatMap((tube) =>
    end && tube.member.name === end.member.name ? cutGhosts(tube, { tool, end, placed }) : [wholeGhost(tube, placed)],
  );
}

type Placed = (p: Vec3) => Vec3;

function cutGhosts(
  tube: HeldTube,
  { tool, end, placed }: { readonly tool: ShapedTool; readonly end: CutEnd; readonly placed: Placed },
): readonly TubeGhost[] {
  const reach = tubeReach(end.member);
  const span = 2.2 * reach + Math.abs(end.longPoint - (tool.datum?.s ?? end.longPoint));
  const dir = end.end === 'end' ? 1 : -1;
  const [low, high] = dir > 0 ? [tube.from, tube.to] : [-tube.to, -tube.from];
  const cut = dir * end.longPoint;
  const keptFrom = dir * Math.max(low, Math.min(cut, dir * end.shortPoint) - span);
  const wasteTo = dir * Math.min(high, cut + 1.5 * reach + 25);
  const stretch = (from: Place, to: Place): Mesh =>
    ghostMesh(tube.member, end.curves.outer.samples, { from, to, placed });
  const far: Place = ({ u }) => (tube.ends?.[0] ? onPlane(tube.member, tube.ends[0], { u, s: tube.from }) : keptFrom);
  const member = tube.member.name;
  return [
    { member, mesh: stretch(far, ({ s }) => s), ...KEPT },
    {
      member,
      mesh: stretch(
        ({ s }) => s,
        () => wasteTo,
      ),
      ...(tube.ends ? TO_COME : WASTE),
    },
  ];
}

/** s of a place on each generator of the cut. */
type Place = (round: { readonly u: number; readonly s: Mm }) => Mm;

/** Where the generator that runs straight at s meets a plane. */
function onPlane(member: HeldMember, { point, normal }: Plane, at: { u: number; s: Mm }): Mm {
  const { heading } = frameAt(member.centerline, at.s);
  return at.s + dot(sub(point, generatorOf(member, at.u).pointAt(at.s)), normal) / dot(heading, normal);
}

function wholeGhost({ member, from, to, drawn }: HeldTube, placed: Placed): TubeGhost {
  if (drawn) {
    const { positions, triangles } = pieceMesh(drawn);
    const moved = Float64Array.from(positions);
    for (let i = 0; i < moved.length; i += 3) moved.set(placed([moved[i]!, moved[i + 1]!, moved[i + 2]!]), i);
    return { member: member.name, mesh: { positions: moved, triangles }, ...KEPT };
  }
  const rounds = Array.from({ length: 72 }, (_, i) => ({ u: i / 72, s: 0 }));
  return { member: member.name, mesh: ghostMesh(member, rounds, { from: () => from, to: () => to, placed }), ...KEPT };
}

/** Outside of a tube between two places along each generator. */
function ghostMesh(
  member: HeldMember,
  rounds: readonly { readonly u: number; readonly s: Mm }[],
  { from, to, placed }: { readonly from: Place; readonly to: Place; readonly placed: Placed },
): Mesh {
  const lines = rounds.map((round) => ({ pointAt: generatorOf(member, round.u).pointAt, round }));
  const rings = Array.from({ length: RINGS + 1 }, (_, k) =>
    lines.map(({ pointAt, round }): Vec3 => placed(pointAt(from(round) + ((to(round) - from(round)) * k) / RINGS))),
  );
  const mesh = ringsMesh(rings, IDENTITY);
  return isTapered(member) ? welded(mesh) : mesh;
}
