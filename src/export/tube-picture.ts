import { besideAt } from '../geometry/centerline.ts';
import { IDENTITY, type Placement, place, unplace } from '../geometry/placement.ts';
import { outlineAt, sectionReach } from '../geometry/section.ts';
import type { Mm, Vec3 } from '../geometry/vector.ts';
import type { Mesh } from '../solid/mesh.ts';
import type { CutEnd } from '../solve/solution.ts';
import { ringsMesh } from '../tooling/sweep.ts';
import type { HeldMember, HeldTube, Tool, ToolPart } from '../tooling/tool.ts';
import type { PictureMesh } from './picture.ts';

/** Kept tube and waste as ghosts: steel blue for what is kept, red for what falls off. */
const KEPT = { part: 'kept', color: [120, 150, 190], opacity: 0.5 } as const;
const WASTE = { part: 'waste', color: [205, 110, 100], opacity: 0.3 } as const;

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
export function tubeGhosts(tool: Tool, part: ToolPart, at: Placement): readonly TubeGhost[] {
  const placed = (p: Vec3): Vec3 => place(at, unplace(part.pose, p));
  const { end } = tool;
  return part.tubes.flatMap((tube) =>
    end && tube.member.name === end.member.name ? cutGhosts(tube, { tool, end, placed }) : [wholeGhost(tube, placed)],
  );
}

type Placed = (p: Vec3) => Vec3;

function cutGhosts(
  tube: HeldTube,
  { tool, end, placed }: { readonly tool: Tool; readonly end: CutEnd; readonly placed: Placed },
): readonly TubeGhost[] {
  const reach = sectionReach(end.member.section);
  const span = 2.2 * reach + Math.abs(end.longPoint - (tool.datum?.s ?? end.longPoint));
  const dir = end.end === 'end' ? 1 : -1;
  const [low, high] = dir > 0 ? [tube.from, tube.to] : [-tube.to, -tube.from];
  const cut = dir * end.longPoint;
  const keptFrom = dir * Math.max(low, Math.min(cut, dir * end.shortPoint) - span);
  const wasteTo = dir * Math.min(high, cut + 1.5 * reach + 25);
  const stretch = (from: (s: Mm) => Mm, to: (s: Mm) => Mm): Mesh =>
    ghostMesh(tube.member, end.curves.outer.samples, { from, to, placed });
  const member = tube.member.name;
  return [
    {
      member,
      mesh: stretch(
        () => keptFrom,
        (s) => s,
      ),
      ...KEPT,
    },
    {
      member,
      mesh: stretch(
        (s) => s,
        () => wasteTo,
      ),
      ...WASTE,
    },
  ];
}

function wholeGhost({ member, from, to }: HeldTube, placed: Placed): TubeGhost {
  const rounds = Array.from({ length: 72 }, (_, i) => ({ u: i / 72, s: 0 }));
  return { member: member.name, mesh: ghostMesh(member, rounds, { from: () => from, to: () => to, placed }), ...KEPT };
}

/** Outside of a tube between two places along each generator. */
function ghostMesh(
  { section, centerline }: HeldMember,
  rounds: readonly { readonly u: number; readonly s: Mm }[],
  { from, to, placed }: { readonly from: (s: Mm) => Mm; readonly to: (s: Mm) => Mm; readonly placed: Placed },
): Mesh {
  const rings = Array.from({ length: RINGS + 1 }, (_, k) =>
    rounds.map(({ u, s }): Vec3 => {
      const [a, b] = outlineAt(section, u).point;
      return placed(besideAt(centerline, from(s) + ((to(s) - from(s)) * k) / RINGS, a, b));
    }),
  );
  return ringsMesh(rings, IDENTITY);
}
