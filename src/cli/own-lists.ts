/**
 * What came from another thread, its lists of numbers made anew, in place. The language keeps the numbers of a list that was
 * sent in boxes of their own, each a detour, and code that meets such lists and others is slow with both: proving a cradle
 * took twice as long in another thread as in the one that made it.
 */
export function withOwnLists<T>(received: T): T {
  return own(received, new Map()) as T;
}

function own(value: unknown, known: Map<object, unknown>): unknown {
  if (typeof value !== 'object' || value === null || ArrayBuffer.isView(value)) return value;
  const before = known.get(value);
  if (before !== undefined) return before;
  if (Array.isArray(value)) {
    const list = isNumbers(value) ? numbersOf(value) : value;
    known.set(value, list);
    if (list === value) for (let i = 0; i < value.length; i++) value[i] = own(value[i], known);
    return list;
  }
  known.set(value, value);
  if (Object.getPrototypeOf(value) !== Object.prototype) return value;
  const fields = value as Record<string, unknown>;
  for (const name of Object.keys(fields)) {
    const field = fields[name];
    if (typeof field === 'object' && field !== null) fields[name] = own(field, known);
  }
  return value;
}

const isNumbers = (list: readonly unknown[]): list is readonly number[] =>
  list.length > 0 && list.every((item) => typeof item === 'number');

/** A list that the language keeps as plain numbers. */
function numbersOf(list: readonly number[]): number[] {
  if (list.length === 3) return [list[0]!, list[1]!, list[2]!];
  if (list.length === 2) return [list[0]!, list[1]!];
  const numbers: number[] = [];
  for (const x of list) numbers.push(x);
  return numbers;
}
