import type { Mm, Vec2 } from '../geometry/vector.ts';

/** The pen's round tip, counterclockwise; corners at the same places for every dab, so that joints of a stroke coincide. */
export function nibOf(radius: Mm, chord: Mm): readonly Vec2[] {
  const half = Math.acos(Math.max(0, 1 - chord / radius));
  const corners = Math.max(8, 4 * Math.ceil(Math.PI / half / 4));
  return Array.from({ length: corners }, (_, i): Vec2 => {
    const turn = (2 * Math.PI * (i + 0.5)) / corners;
    return [radius * Math.cos(turn), radius * Math.sin(turn)];
  });
}

/** What the nib covers on its way from one place to another, counterclockwise: the hull of the nib at both. */
export function drawnLine(nib: readonly Vec2[], from: Vec2, to: Vec2): readonly Vec2[] {
  const dx = to[0] - from[0];
  const dy = to[1] - from[1];
  // Sides of the nib that look ahead are those of its last place, the others those of its first.
  const ahead = nib.map(([x, y], i) => {
    const [nextX, nextY] = nib[(i + 1) % nib.length]!;
    return (nextY - y) * dx - (nextX - x) * dy > 0;
  });
  return nib.flatMap(([x, y], i): readonly Vec2[] => {
    const before = ahead[(i + nib.length - 1) % nib.length]! ? to : from;
    const after = ahead[i]! ? to : from;
    const corner: Vec2 = [before[0] + x, before[1] + y];
    return before === after ? [corner] : [corner, [after[0] + x, after[1] + y]];
  });
}
