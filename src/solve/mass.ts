import { generatorLength } from '../geometry/generator-length.ts';
import { type Outline, outlineTable } from '../geometry/outline-table.ts';
import { areaInside, type Section } from '../geometry/section.ts';
import type { Mm, Vec2 } from '../geometry/vector.ts';
import type { Job, SectionSpec } from '../job/job.ts';
import { type Material, materialNamed } from '../job/material.ts';
import { curveS } from './pieces.ts';
import type { CutEnd, Member, Piece } from './solution.ts';

/** The section of the job that a member is made of. */
export const sectionOf = ({ sections }: Job, { section }: Member): SectionSpec | undefined =>
  sections.find(({ actual }) => actual === section);

/** g/cm3 and 1e-6 per degree C: as the section says, else of its material; absent where neither is known. */
export function materialOf(
  section: SectionSpec | undefined,
): Partial<Pick<Material, 'name' | 'density' | 'expansion'>> {
  const known = section?.material === undefined ? undefined : materialNamed(section.material);
  const density = section?.density ?? known?.density;
  const expansion = section?.expansion ?? known?.expansion;
  return {
    ...(known ? { name: known.name } : {}),
    ...(density === undefined ? {} : { density }),
    ...(expansion === undefined ? {} : { expansion }),
  };
}

/** Strips round the tube and layers of the wall that a piece is measured in. */
const AROUND = 180;
const LAYERS = 2;

/**
 * Metal of a piece, mm^3: its wall in strips, each as long as the tube's own line there from cut to cut. Along a bend with
 * square ends that is area times arc (Pappus); a flat cut takes as much off one side as it leaves on the other.
 */
export function metalVolume(piece: Piece, outline: Outline = outlineTable(piece.member.section)): number {
  const { member, startEnd, finishEnd } = piece;
  const { section, centerline } = member;
  let area = 0;
  let volume = 0;
  for (let layer = 0; layer < LAYERS; layer++) {
    const [outer, inner] = [layer, layer + 1].map((k) => (k * section.wall) / LAYERS) as [Mm, Mm];
    const depth = (outer + inner) / 2;
    for (let i = 0; i < AROUND; i++) {
      const u = (i + 0.5) / AROUND;
      const strip = stripArea(outline, { u: [i / AROUND, (i + 1) / AROUND], depth: [outer, inner] });
      const from = cutAt(startEnd, { u, depth, section, plain: 0 });
      const to = cutAt(finishEnd, { u, depth, section, plain: centerline.length });
      area += strip;
      volume += strip * generatorLength(centerline, { from, to, beside: outline.at(u, depth) });
    }
  }
  // The strips are chords of the outline; their sum is brought to the true area of the wall.
  return (volume / area) * (areaInside(section) - areaInside(section, section.wall));
}

interface Strip {
  readonly u: readonly [number, number];
  readonly depth: readonly [Mm, Mm];
}

function stripArea(outline: Outline, { u, depth }: Strip): number {
  const corners = [
    outline.at(u[0], depth[0]),
    outline.at(u[1], depth[0]),
    outline.at(u[1], depth[1]),
    outline.at(u[0], depth[1]),
  ];
  return Math.abs(corners.reduce((sum, p, i) => sum + cross(p, corners[(i + 1) % 4]!), 0)) / 2;
}

const cross = (p: Vec2, q: Vec2): number => p[0] * q[1] - p[1] * q[0];

function cutAt(
  end: CutEnd | undefined,
  of: { readonly u: number; readonly depth: Mm; readonly section: Section; readonly plain: Mm },
): Mm {
  if (!end) return of.plain;
  const outer = curveS(end.curves.outer, of.u);
  return outer + ((curveS(end.curves.inner, of.u) - outer) * of.depth) / of.section.wall;
}

/** kg of a piece; undefined where its density is not known. */
export function pieceMass(job: Job, piece: Piece, outline?: Outline): number | undefined {
  const { density } = materialOf(sectionOf(job, piece.member));
  return density === undefined ? undefined : (metalVolume(piece, outline) * density) / 1e6;
}
