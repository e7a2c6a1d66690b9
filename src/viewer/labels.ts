import { type Camera, Vector3 } from 'three';
import type { PackedItem } from '../export/view-data.ts';

export interface Labeled {
  readonly item: PackedItem;
  readonly group: { readonly visible: boolean };
  readonly label?: HTMLElement;
}

/** Two labels are told apart when their middles lie so many CSS pixels apart, and stay near what they name. */
const APART = 27;
const ROUNDS = 12;

/** Sets the labels of what is visible beside it on the screen, pushed apart where they would cover each other. */
export function placeLabels(
  all: readonly Labeled[],
  { camera, canvas, on }: { readonly camera: Camera; readonly canvas: HTMLElement; readonly on: boolean },
): void {
  const { clientWidth: width, clientHeight: height } = canvas;
  const spots = all.flatMap(({ item, group, label }) => {
    if (!label || !item.labelAt) return [];
    label.hidden = !on || !group.visible;
    if (label.hidden) return [];
    const at = new Vector3(...item.labelAt).project(camera);
    return [{ label, x: ((at.x + 1) / 2) * width, y: ((1 - at.y) / 2) * height }];
  });
  for (let round = 0; round < ROUNDS; round++) {
    spots.forEach((p, i) => {
      for (const q of spots.slice(i + 1)) {
        const [dx, dy] = [q.x - p.x, q.y - p.y];
        const distance = Math.hypot(dx, dy);
        if (distance >= APART) continue;
        // Two in the very same place part sideways.
        const [x, y] = distance > 0 ? [dx / distance, dy / distance] : [1, 0];
        const push = (APART - distance) / 2;
        [p.x, p.y, q.x, q.y] = [p.x - x * push, p.y - y * push, q.x + x * push, q.y + y * push];
      }
    });
  }
  for (const { label, x, y } of spots) {
    label.style.left = `${x}px`;
    label.style.top = `${y}px`;
  }
}
