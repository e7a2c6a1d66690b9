import { besideAt } from '../geometry/centerline.ts';
import { type Placement, place, unplace } from '../geometry/placement.ts';
import { outlineAt, sectionReach } from '../geometry/section.ts';
import type { Mm, Vec3 } from '../geometry/vector.ts';
import type { Mesh } from '../solid/mesh.ts';
import { ringsMesh } from '../tooling/sweep.ts';
import type { Tool, ToolPart } from '../tooling/tool.ts';
import type { PictureMesh } from './picture.ts';

/** Kept tube and waste as ghosts: steel blue for what is kept, red for what falls off. */
const KEPT = { color: [120, 150, 190], opacity: 0.5 } as const;
const WASTE = { color: [205, 110, 100], opacity: 0.3 } as const;

/** Rings along a drawn tube; a picture needs no chord tolerance. */
const RINGS = 24;

/**
 * The tube as it lies in a part, cut where the tool cuts it, in the part's print pose moved by `at`: kept and waste in two
 * colors, each about two tube widths past the cut so that the tool stays the subject.
 */
export function tubeGhosts(tool: Tool, part: ToolPart, at: Placement): readonly PictureMesh[] {
  const { end } = tool;
  const span = 2.2 * sectionReach(end.member.section) + Math.abs(end.longPoint - tool.datum.s);
  const dir = end.end === 'end' ? 1 : -1;
  const [low, high] = dir > 0 ? [part.tube.from, part.tube.to] : [-part.tube.to, -part.tube.from];
  const cut = dir * end.longPoint;
  const keptFrom = dir * Math.max(low, Math.min(cut, dir * end.shortPoint) - span);
  const wasteTo = dir * Math.min(high, cut + 1.5 * sectionReach(end.member.section) + 25);
  const stretch = (from: (s: Mm) => Mm, to: (s: Mm) => Mm): Mesh => {
    const rings = Array.from({ length: RINGS + 1 }, (_, k) =>
      end.curves.outer.samples.map(({ u, s }): Vec3 => {
        const [a, b] = outlineAt(end.member.section, u).point;
        const along = from(s) + ((to(s) - from(s)) * k) / RINGS;
        return place(at, unplace(part.pose, besideAt(end.member.centerline, along, a, b)));
      }),
    );
    return ringsMesh(rings, { origin: [0, 0, 0], x: [1, 0, 0], y: [0, 1, 0], z: [0, 0, 1] });
  };
  const kept = stretch(
    () => keptFrom,
    (s) => s,
  );
  const waste = stretch(
    (s) => s,
    () => wasteTo,
  );
  return [
    { mesh: kept, ...KEPT },
    { mesh: waste, ...WASTE },
  ];
}
