import { generatorSpeed, segmentAt } from '../geometry/centerline.ts';
import { type Outline, outlineTable } from '../geometry/outline-table.ts';
import { areaInside, type Section } from '../geometry/section.ts';
import { type Generator, generatorOf, isTapered } from '../geometry/tube-shape.ts';
import { lineLength } from '../geometry/tube-surface.ts';
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
  if (isTapered(member)) return taperedVolume(piece);
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
      const [a, b] = outline.at(u, depth);
      const line = { speedAt: (s: Mm): number => generatorSpeed(centerline, s, a, b) };
      volume += strip * lineLength(centerline, line, { from, to });
    }
  }
  // The strips are chords of the outline; their sum is brought to the true area of the wall.
  return (volume / area) * (areaInside(section) - areaInside(section, section.wall));
}

/**
 * The same of a piece with tapers: each strip of the wall changes along it as its four lines do, so its area is summed from
 * segment to segment at Gauss's two places, which is exact for lines.
 */
function taperedVolume({ member, startEnd, finishEnd }: Piece): number {
  const { section, centerline } = member;
  const lines = Array.from({ length: AROUND }, (_, i): readonly [Generator, Generator] => [
    generatorOf(member, i / AROUND),
    generatorOf(member, i / AROUND, section.wall),
  ]);
  const trueArea = areaInside(section) - areaInside(section, section.wall);
  let [volume, area] = [0, 0];
  lines.forEach(([outer, inner], i) => {
    const [nextOuter, nextInner] = lines[(i + 1) % AROUND]!;
    const areaAt = (s: Mm): number =>
      polygonArea([outer, nextOuter, nextInner, inner].map((line) => line.besideAt(s).point));
    const middle = generatorOf(member, (i + 0.5) / AROUND, section.wall / 2);
    const of = { u: (i + 0.5) / AROUND, depth: section.wall / 2, section };
    const from = cutAt(startEnd, { ...of, plain: 0 });
    const to = cutAt(finishEnd, { ...of, plain: centerline.length });
    const marks = [from, ...centerline.segments.map(({ s0 }) => s0).filter((s) => s > from && s < to), to];
    marks.slice(1).forEach((next, k) => {
      const last = marks[k]!;
      const half = (last + next) / 2;
      const aside = (next - last) / (2 * Math.sqrt(3));
      const mean = (areaAt(half - aside) + areaAt(half + aside)) / 2;
      const speed = isBend(member, half) ? middle.speedAt(half) : 1;
      volume += (next - last) * speed * mean;
    });
    // Before its drawn start the tube goes on as it begins.
    area += areaAt(-10 * section.wall);
  });
  // The strips are chords of the outline; their sum is brought to the true area of the wall.
  return (volume / area) * trueArea;
}

const isBend = ({ centerline }: Member, s: Mm): boolean => segmentAt(centerline, s).kind === 'bend';

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
  return polygonArea(corners);
}

const polygonArea = (corners: readonly Vec2[]): number =>
  Math.abs(corners.reduce((sum, p, i) => sum + cross(p, corners[(i + 1) % corners.length]!), 0)) / 2;

const cross = (p: Vec2, q: Vec2): number => p[0] * q[1] - p[1] * q[0];

function cutAt(
  end: CutEnd | undefined,
  of: { readonly u: number; readonly depth: Mm; readonly section: Section; readonly plain: Mm },
): Mm {
  if (!end) return of.plain;
  const outer = curveS(end.curves.outer, of.u);
  return outer + ((curveS(end.curves.inner, of.u) - outer) * of.depth) / of.section.wall;
}
