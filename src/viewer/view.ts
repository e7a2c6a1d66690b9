import type { PackedItem } from '../export/view-data.ts';
import { openPanel } from './panel.ts';
import { openStage } from './stage.ts';

/** Fills the page's place for the 3D view; where the browser cannot draw it, the place stays hidden and the still picture is all. */
function open(place: HTMLElement, packed: string): void {
  const canvas = document.createElement('canvas');
  if (!document.createElement('canvas').getContext('webgl2')) return;
  const [frame, panel, caption] = [division('frame'), division('panel'), division('caption')];
  frame.append(canvas, caption);
  place.append(frame, panel);
  place.hidden = false;
  try {
    const { items }: { readonly items: readonly PackedItem[] } = JSON.parse(packed);
    openPanel({ panel, caption }, items, openStage(canvas, items));
  } catch (thrown) {
    place.hidden = true;
    throw thrown;
  }
}

function division(name: string): HTMLElement {
  const made = document.createElement('div');
  made.className = `view-${name}`;
  return made;
}

const place = document.getElementById('view');
const data = document.getElementById('view-data');
if (place && data) open(place, data.textContent ?? '');
