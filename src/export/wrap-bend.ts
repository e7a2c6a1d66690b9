import { cosd, sind } from '../geometry/angle.ts';
import { type BendSegment, generatorSpeed } from '../geometry/centerline.ts';
import { perimeter } from '../geometry/section.ts';
import { outlineOn, sectionAt } from '../geometry/tube-shape.ts';
import { generatorLength } from '../geometry/tube-surface.ts';
import type { Mm } from '../geometry/vector.ts';
import type { CutCurve, CutEnd } from '../solve/solution.ts';

/** What a template says of the bend it lies in: a bent tube is no surface that paper lies flat on. */
export interface WrapBend {
  /** From the base line to the bend's tangent point on the kept side. */
  readonly tangent: Mm;
  /** Where the paper is slit, from the tangent line outward, so that each strip follows its own line of the tube. */
  readonly slits: readonly Mm[];
  /** Longest way of a strip in the bend. */
  readonly reach: Mm;
  /** How far a strip leaves its line sideways if it is left to run straight: reach^2 / 2 times the line's own curving. */
  readonly sideways: Mm;
}

/** Strips are laid by the ordinates, so there are as many. */
const STRIPS = 16;

/** Slits and limits of a template that reaches into a bend; undefined where it lies on a straight. */
export function wrapBend(
  end: CutEnd,
  { curves, base }: { readonly curves: readonly CutCurve[]; readonly base: Mm },
): WrapBend | undefined {
  const dir = end.end === 'end' ? 1 : -1;
  const samples = curves.flatMap((curve) => curve.samples);
  const top = Math.max(...samples.map(({ s }) => dir * s));
  const bend = firstBend(end, { base, top, dir });
  if (!bend) return undefined;
  const { centerline } = end.member;
  const near = dir > 0 ? bend.s0 : bend.s0 + bend.length;
  const far = dir > 0 ? bend.s0 + bend.length : bend.s0;
  const around = perimeter(sectionAt(end.member, bend.s0));
  let [reach, sideways] = [0, 0];
  for (const { u, s } of samples) {
    const { point, normal } = outlineOn(end.member, bend.s0, u);
    const to = dir > 0 ? Math.min(s, far) : Math.max(s, far);
    const own = dir * generatorLength(end.member, u, { from: near, to });
    if (own <= 0) continue;
    reach = Math.max(reach, own);
    // The line is a circle about the bend's axis; what paper feels of its curving is the part that lies in the surface.
    const acrossPlane = normal[0] * cosd(bend.towardDeg) - normal[1] * sind(bend.towardDeg);
    const radius = bend.clr * generatorSpeed(centerline, bend.s0 + bend.length / 2, point[0], point[1]);
    sideways = Math.max(sideways, (own * own * Math.abs(acrossPlane)) / (2 * radius));
  }
  const slits = Array.from({ length: STRIPS }, (_, i) => ((i + 0.5) * around) / STRIPS);
  return { tangent: Math.max(0, dir * (near - base)), slits, reach, sideways };
}

/** The bend nearest the base line among those that the template reaches. */
function firstBend(
  end: CutEnd,
  { base, top, dir }: { readonly base: Mm; readonly top: Mm; readonly dir: 1 | -1 },
): BendSegment | undefined {
  return end.member.centerline.segments
    .filter((segment): segment is BendSegment => segment.kind === 'bend')
    .filter(({ s0, length }) => {
      const [near, far] = dir > 0 ? [s0, s0 + length] : [-s0 - length, -s0];
      return near < top && far > dir * base;
    })
    .sort((p, q) => dir * (p.s0 - q.s0))[0];
}
