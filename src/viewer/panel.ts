import type { PackedItem } from '../export/view-data.ts';
import type { Stage } from './stage.ts';

/** Directions from the work to the eye: front is -y of the job, right +x, top +z. */
const VIEWS = [
  ['corner', [-0.6, -1, 0.75]],
  ['front', [0, -1, 0]],
  ['right', [1, 0, 0]],
  ['back', [0, 1, 0]],
  ['left', [-1, 0, 0]],
  ['top', [0, -1e-4, 1]],
] as const;

const HEADINGS = { piece: 'Pieces', plate: 'Flat parts', tool: 'Tools on their tubes' } as const;

/** What is chosen in the lists: these of the items, and of them one tool by itself with its tube, or all in place. */
interface Choice {
  readonly shown: ReadonlySet<string>;
  readonly near?: ReadonlySet<string>;
  readonly caption?: string;
}

/** Buttons and lists under the picture: where it is seen from, and what is shown. */
export function openPanel(
  { panel, caption }: { readonly panel: HTMLElement; readonly caption: HTMLElement },
  items: readonly PackedItem[],
  stage: Stage,
): void {
  const listed = items.filter(({ group }) => group === 'piece' || group === 'plate' || group === 'tool');
  const numbers = checkbox(true);
  const boxes = new Map(listed.map((item) => [item.name, checkbox(false)]));
  const choose = ({ shown, near, caption: text = '' }: Choice): void => {
    for (const [name, box] of boxes) box.checked = shown.has(name);
    caption.textContent = text;
    numbers.checked = text === '';
    stage.showLabels(numbers.checked);
    stage.show(shown, near);
  };
  const pieces = (): Choice => ({ shown: namesOf(items, ({ group }) => group === 'piece' || group === 'plate') });
  const ticked = (): Choice => ({ shown: namesOf(listed, ({ name }) => boxes.get(name)?.checked === true) });
  for (const box of boxes.values())
    box.addEventListener('change', () => {
      caption.textContent = '';
      stage.show(ticked().shown);
    });
  numbers.addEventListener('change', () => stage.showLabels(numbers.checked));
  panel.append(
    row(
      ...VIEWS.map(([name, from]) => button(name, () => stage.lookFrom(from))),
      button('all pieces', () => choose(pieces())),
      labelled(numbers, 'names'),
    ),
    ...(['piece', 'plate', 'tool'] as const).flatMap((group) => {
      const of = listed.filter((item) => item.group === group);
      if (of.length === 0) return [];
      const lines = of.map((item) => {
        const text = item.label === undefined || item.label === item.name ? item.name : `${item.label}  ${item.name}`;
        return line(
          labelled(boxes.get(item.name)!, text),
          button('only this', () => choose(only(item, items))),
        );
      });
      return [heading(HEADINGS[group]), list(lines)];
    }),
  );
  choose(pieces());
  stage.lookFrom(VIEWS[0][1]);
}

/** A piece by itself; a tool with its pieces and waste, the tool and the waste filling the picture. */
function only(item: PackedItem, items: readonly PackedItem[]): Choice {
  const near = namesOf(
    items,
    (other) =>
      other === item || ((other.group === 'waste' || other.group === 'tube') && other.with.includes(item.name)),
  );
  return {
    shown: new Set([...near, ...(item.group === 'tool' ? item.with : [])]),
    near,
    caption: item.caption ?? item.name,
  };
}

const namesOf = (items: readonly PackedItem[], which: (item: PackedItem) => boolean): ReadonlySet<string> =>
  new Set(items.filter(which).map(({ name }) => name));

function checkbox(checked: boolean): HTMLInputElement {
  const box = document.createElement('input');
  box.type = 'checkbox';
  box.checked = checked;
  return box;
}

function button(text: string, press: () => void): HTMLButtonElement {
  const made = document.createElement('button');
  made.type = 'button';
  made.textContent = text;
  made.addEventListener('click', press);
  return made;
}

function labelled(box: HTMLInputElement, text: string): HTMLLabelElement {
  const label = document.createElement('label');
  label.append(box, ` ${text}`);
  return label;
}

function heading(text: string): HTMLElement {
  const made = document.createElement('h3');
  made.textContent = text;
  return made;
}

function row(...of: readonly HTMLElement[]): HTMLElement {
  const made = document.createElement('p');
  made.append(...of);
  return made;
}

function line(...of: readonly HTMLElement[]): HTMLElement {
  const made = document.createElement('li');
  made.append(...of);
  return made;
}

function list(lines: readonly HTMLElement[]): HTMLElement {
  const made = document.createElement('ul');
  made.append(...lines);
  return made;
}
