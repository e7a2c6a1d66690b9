import fc from 'fast-check';
import { BASES, SCRAPS } from './bases.ts';

interface Edit {
  readonly kind: number;
  /** Shares of the text, 0..1. */
  readonly at: number;
  readonly to: number;
  readonly scrap: number;
  readonly number: number;
}

const share = fc.integer({ min: 0, max: 9999 }).map((k) => k / 10_000);
const edit: fc.Arbitrary<Edit> = fc.record({
  kind: fc.integer({ min: 0, max: 11 }),
  at: share,
  to: share,
  scrap: fc.nat(SCRAPS.length - 1),
  number: fc.oneof(
    fc.double(),
    fc.integer({ min: -1000, max: 1000 }),
    fc.integer({ min: -30, max: 3000 }).map((k) => k / 10),
  ),
});

/** Long jobs a third as often as short ones: they are read as many times slower. */
const anyBase: fc.Arbitrary<number> = fc.constantFrom(
  ...BASES.flatMap((text, i) => (text.length > 1000 ? [i] : [i, i, i])),
);

/** A job text with one to four things wrong with it: numbers, words, lines, characters, places. */
export const mangledText: fc.Arbitrary<string> = fc
  .record({ base: anyBase, edits: fc.array(edit, { minLength: 1, maxLength: 3 }) })
  .map(({ base, edits }) => edits.reduce(changed, BASES[base]!));

/** A job text of which only numbers were changed, each to something near what it was: most of them can still be made. */
export const nudgedText: fc.Arbitrary<string> = fc
  .record({
    base: anyBase,
    nudges: fc.array(fc.record({ at: share, by: fc.integer({ min: -60, max: 90 }) }), { minLength: 1, maxLength: 3 }),
  })
  .map(({ base, nudges }) =>
    nudges.reduce(
      (text, { at, by }) => withNumber(text, at, (x) => String(Math.round(x * (100 + by)) / 100)),
      BASES[base]!,
    ),
  );

function changed(text: string, { kind, at, to, scrap, number }: Edit): string {
  const word = SCRAPS[scrap]!;
  const [from, end] = [Math.floor(at * text.length), Math.floor(to * text.length)].sort((p, q) => p - q) as [
    number,
    number,
  ];
  const lines = text.split('\n');
  const [line, other] = [Math.floor(at * lines.length), Math.floor(to * lines.length)];
  switch (kind) {
    case 0:
    case 1:
    case 2:
      return withNumber(text, at, () => String(number));
    case 3:
      return withNumber(text, at, () => word);
    case 4:
    case 5:
      return withWord(text, at, word);
    case 6:
      return [...lines.slice(0, line), ...lines.slice(line + 1)].join('\n');
    case 7:
      return [...lines.slice(0, line), lines[other] ?? '', ...lines.slice(line)].join('\n');
    case 8:
      return [...lines.slice(0, line), ` ${lines[line] ?? ''}`, ...lines.slice(line + 1)].join('\n');
    case 9:
      return text.slice(0, from) + word + text.slice(from);
    case 10:
      return text.slice(0, from) + text.slice(Math.min(end, from + 12));
    default:
      return text.slice(0, end);
  }
}

const withNumber = (text: string, at: number, change: (x: number) => string): string =>
  replaced(text, { at, what: /(?<![\w.-])-?\d+(?:\.\d+)?/g, change: (found) => change(Number(found)) });

const withWord = (text: string, at: number, word: string): string =>
  replaced(text, { at, what: /[a-z][a-z.-]*/g, change: () => word });

function replaced(
  text: string,
  { at, what, change }: { readonly at: number; readonly what: RegExp; readonly change: (found: string) => string },
): string {
  const all = [...text.matchAll(what)];
  const found = all[Math.floor(at * all.length)];
  return found ? text.slice(0, found.index) + change(found[0]) + text.slice(found.index + found[0].length) : text;
}
