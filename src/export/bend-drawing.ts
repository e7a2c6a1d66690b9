import { cosd, sind } from '../geometry/angle.ts';
import { type Section, sectionHeight, sectionWidth } from '../geometry/section.ts';
import type { Deg, Mm, Vec2 } from '../geometry/vector.ts';
import type { CutBend } from '../solve/nesting/nesting.ts';
import type { SheetDrawing } from './sheet-blocks.ts';
import { angleFigure } from './sheet-figures.ts';
import type { Mark } from './sheet-paper.ts';

const ROOM = { width: 82, height: 62 } as const;
const TEXT: Mm = 2.8;
/** Round the bend, for names beside it. */
const MARGIN: Mm = 14;
/** Turn of a drawn step of an arc. */
const STEP: Deg = 3;

/** A bought bend seen square to its plane, to scale, first leg at the left: cuts, names and turns of the pieces, what is left in gray. */
export function bendDrawing(
  bend: CutBend,
  { numbers, section }: { readonly numbers: ReadonlyMap<string, number>; readonly section: Section },
): SheetDrawing {
  const half = Math.min(bend.clr * 0.98, Math.max(sectionWidth(section), sectionHeight(section)) / 2);
  const place = placing(bend, half);
  const band = (fromDeg: Deg, toDeg: Deg): readonly Vec2[] => [
    ...arc(place, { radius: bend.clr + half, fromDeg, toDeg }),
    ...[...arc(place, { radius: bend.clr - half, fromDeg, toDeg })].reverse(),
  ];
  const leg = (deg: Deg, length: Mm, side: 1 | -1): readonly Vec2[] =>
    [bend.clr + half, bend.clr - half].flatMap((radius, i) => {
      const ends = [place.at(deg, radius, 0), place.at(deg, radius, side * length)];
      return i === 0 ? ends : ends.reverse();
    });
  const whole = [leg(0, bend.legs[0], -1), band(0, bend.bendAngleDeg), leg(bend.bendAngleDeg, bend.legs[1], 1)];
  const marks: Mark[] = whole.map((points): Mark => ({ kind: 'fill', gray: 215, points }));
  marks.push(...whole.map((points): Mark => ({ kind: 'line', type: 'thin', points: [...points, points[0]!] })));
  for (const { member, fromDeg, toDeg, legs } of bend.pieces) {
    const side = (radius: Mm): readonly Vec2[] => [
      ...(legs[0] > 0 ? [place.at(0, radius, -legs[0])] : []),
      ...arc(place, { radius, fromDeg, toDeg }),
      ...(legs[1] > 0 ? [place.at(bend.bendAngleDeg, radius, legs[1])] : []),
    ];
    const outline = [...side(bend.clr + half), ...[...side(bend.clr - half)].reverse()];
    marks.push({ kind: 'fill', gray: 255, points: outline });
    marks.push({ kind: 'line', type: 'outline', points: [...outline, outline[0]!] });
    const [x, y] = place.at((fromDeg + toDeg) / 2, bend.clr, 0);
    const name = String(numbers.get(member) ?? member);
    marks.push({ kind: 'text', at: [x, y + TEXT * 0.35], text: name, size: TEXT, anchor: 'middle', bold: true });
    for (const deg of [fromDeg, toDeg]) {
      const [tx, ty] = place.at(deg, bend.clr + half + 4 / place.scale, 0);
      marks.push({
        kind: 'text',
        at: [tx, ty + TEXT * 0.3],
        text: angleFigure(deg),
        size: TEXT * 0.85,
        anchor: 'middle',
      });
    }
  }
  return {
    kind: 'drawing',
    description: `bend of ${angleFigure(bend.bendAngleDeg)} deg: ${bend.pieces.map(({ member }) => member).join(', ')}`,
    ...place.size,
    marks,
  };
}

interface Placing {
  readonly scale: number;
  readonly size: { readonly width: Mm; readonly height: Mm };
  /** Paper place at a turn and radius, moved along the tube there. */
  readonly at: (deg: Deg, radius: Mm, along: Mm) => Vec2;
}

/** The first tangent point left of the center, turning up and to the right; scaled to what the paper has room for. */
function placing(bend: CutBend, half: Mm): Placing {
  const raw = (deg: Deg, radius: Mm, along: Mm): Vec2 => [
    -radius * cosd(deg) + along * sind(deg),
    -radius * sind(deg) - along * cosd(deg),
  ];
  const corners: Vec2[] = [];
  for (const radius of [bend.clr - half, bend.clr + half]) {
    for (let deg = 0; deg < bend.bendAngleDeg; deg += STEP) corners.push(raw(deg, radius, 0));
    corners.push(raw(bend.bendAngleDeg, radius, 0));
    corners.push(raw(0, radius, -bend.legs[0]), raw(bend.bendAngleDeg, radius, bend.legs[1]));
  }
  const [xs, ys] = [corners.map(([x]) => x), corners.map(([, y]) => y)];
  const [left, top] = [Math.min(...xs), Math.min(...ys)];
  const [wide, high] = [Math.max(...xs) - left, Math.max(...ys) - top];
  const scale = Math.min((ROOM.width - 2 * MARGIN) / wide, (ROOM.height - 2 * MARGIN) / high);
  return {
    scale,
    size: { width: wide * scale + 2 * MARGIN, height: high * scale + 2 * MARGIN },
    at: (deg, radius, along) => {
      const [x, y] = raw(deg, radius, along);
      return [MARGIN + (x - left) * scale, MARGIN + (y - top) * scale];
    },
  };
}

function arc(
  place: Placing,
  { radius, fromDeg, toDeg }: { readonly radius: Mm; readonly fromDeg: Deg; readonly toDeg: Deg },
): readonly Vec2[] {
  const steps = Math.max(1, Math.ceil((toDeg - fromDeg) / STEP));
  return Array.from({ length: steps + 1 }, (_, i) => place.at(fromDeg + ((toDeg - fromDeg) * i) / steps, radius, 0));
}
