import { Ajv2020 } from 'ajv/dist/2020.js';
import { describe, expect, test } from 'vitest';
import { cutListCsv } from '../../src/export/csv-cut-list.ts';
import { type CutTable, cutTable } from '../../src/export/cut-table.ts';
import type { JsonSchema } from '../../src/export/json-schema.ts';
import { cutListJson } from '../../src/export/sheet-cut-list.ts';
import { cutListSchema } from '../../src/export/sheet-cut-list-schema.ts';
import { loadJob } from '../../src/job/load.ts';
import { solveJob } from '../../src/solve/solve.ts';
import { example } from '../support/tools.ts';

const EXAMPLES = ['bench-frame', 'boat-rail', 'cargo-rack', 'dust-wye', 'flue-elbow'] as const;

const tableOf = (name: string): CutTable => cutTable(solveJob(loadJob(example(name), {}).value!).value!);
const listOf = (name: string): unknown => JSON.parse(cutListJson(tableOf(name), { madeBy: 'kerfwright 0.0.0' }));

const valid = new Ajv2020({ strict: true, allErrors: true }).compile(cutListSchema());
const faultsOf = (value: unknown): readonly string[] =>
  valid(value) ? [] : (valid.errors ?? []).map((error) => `${error.instancePath} ${error.message}`);

/** A deep copy with one value at a path of keys put in, or taken out. */
function changed(value: unknown, path: readonly (string | number)[], to: unknown): unknown {
  const copy: unknown = structuredClone(value);
  let at = copy as Record<string | number, unknown>;
  for (const key of path.slice(0, -1)) at = at[key] as Record<string | number, unknown>;
  if (to === undefined) delete at[path.at(-1)!];
  else at[path.at(-1)!] = to;
  return copy;
}

describe('the cut list as JSON', () => {
  for (const name of EXAMPLES) {
    test(`of ${name} validates against its schema`, () => {
      expect(faultsOf(listOf(name))).toEqual([]);
    });
  }

  test('a list that is out of shape does not', () => {
    const list = listOf('boat-rail');
    for (const [path, to] of [
      [['format'], 'another'],
      [['version'], 1],
      [['pieces', 0, 'stockLength'], '600'],
      [['pieces', 0, 'stockLength'], -1],
      [['pieces', 0, 'surprise'], 1],
      [['pieces', 0, 'section', 'od'], undefined],
      [['pieces', 0, 'section', 'kind'], 'oval'],
      [['pieces', 0, 'ends', 1], undefined],
      [['pieces', 0, 'ends', 0, 'cut'], 'wavy'],
      [['units'], 'cm'],
    ] as const)
      expect(faultsOf(changed(list, path, to)).length, path.join('.')).toBeGreaterThan(0);
  });

  test('every field of the examples is one the schema tells of, with a description', () => {
    const described = (schema: JsonSchema): void => {
      const { properties } = schema;
      for (const [key, value] of Object.entries((properties ?? {}) as Record<string, JsonSchema>)) {
        const told = ['description', '$ref', 'const', 'type'].some((word) => word in value);
        expect(told, key).toBe(true);
        described(value);
      }
    };
    const schema = cutListSchema();
    described(schema);
    for (const part of Object.values(schema.$defs as Record<string, JsonSchema>)) described(part);
  });

  test('carries the numbers of the table to a nanometer', () => {
    const table = tableOf('cargo-rack');
    const list = listOf('cargo-rack') as CutTable;
    table.pieces.forEach((piece, i) => {
      expect(list.pieces[i]!.stockLength).toBeCloseTo(piece.stockLength, 6);
      expect(list.pieces[i]!.ends[1]!.shortPoint).toBeCloseTo(piece.ends[1]!.shortPoint, 6);
    });
    expect(list.units).toBe('in');
  });

  test('is the same text twice, and refuses a number that is none', () => {
    const madeBy = 'kerfwright 0.0.0';
    const table = tableOf('dust-wye');
    expect(cutListJson(tableOf('dust-wye'), { madeBy })).toBe(cutListJson(table, { madeBy }));
    const broken = { ...table, pieces: [{ ...table.pieces[0]!, stockLength: Number.NaN }] };
    expect(() => cutListJson(broken, { madeBy })).toThrow('internal');
  });
});

/** RFC 4180, read the long way. */
function readCsv(csv: string): readonly (readonly string[])[] {
  const rows: string[][] = [[]];
  let cell = '';
  let quoted = false;
  for (let i = 0; i < csv.length; i++) {
    const c = csv[i]!;
    if (quoted) {
      if (c === '"' && csv[i + 1] === '"') {
        cell += '"';
        i++;
      } else if (c === '"') quoted = false;
      else cell += c;
    } else if (c === '"') quoted = true;
    else if (c === ',' || c === '\r') {
      rows.at(-1)!.push(cell);
      cell = '';
      if (c === '\r') {
        expect(csv[++i]).toBe('\n');
        rows.push([]);
      }
    } else cell += c;
  }
  expect(rows.pop()).toEqual([]);
  return rows;
}

function recordsOf(table: CutTable): readonly ReadonlyMap<string, string>[] {
  const [heads, ...rows] = readCsv(cutListCsv(table)) as [string[], ...string[][]];
  return rows.map((row) => {
    expect(row).toHaveLength(heads.length);
    return new Map(heads.map((head, i) => [head, row[i]!]));
  });
}

describe('the cut list as CSV', () => {
  test('has a row for each end, with the numbers in the unit of the job', () => {
    for (const name of EXAMPLES) {
      const table = tableOf(name);
      const records = recordsOf(table);
      const inch = table.units === 'in' ? 25.4 : 1;
      const ends = table.pieces.flatMap((piece) => piece.ends.map((end) => ({ piece, end })));
      expect(records).toHaveLength(ends.length);
      ends.forEach(({ piece, end }, i) => {
        const record = records[i]!;
        expect(record.get('member')).toBe(piece.member);
        expect(record.get('end')).toBe(end.end);
        expect(Number(record.get(`stock length ${table.units}`)) * inch).toBeCloseTo(piece.stockLength, 2);
        expect(Number(record.get(`short point ${table.units}`)) * inch).toBeCloseTo(end.shortPoint, 2);
        expect(record.get('from square deg')).toBe(end.flat ? String(Number(end.flat.miterDeg.toFixed(4))) : '');
        const quarter = record.get(`cut back at 90 ${table.units}`);
        if (end.ordinates) expect(Number(quarter) * inch).toBeCloseTo(end.ordinates[2]!.cutBack, 2);
        else expect(quarter).toBe('');
      });
    }
  });

  test('marks of a cut in a bend are there', () => {
    // The step is cut 42 degrees into a bend of clr 63.5 on tube of 31.75: arcs on 47.625, 63.5 and 79.375.
    const step = recordsOf(tableOf('boat-rail')).find(
      (row) => row.get('member') === 'step' && row.get('end') === 'end',
    )!;
    const arc = (radius: number): number => (radius * 42 * Math.PI) / 180;
    expect(Number(step.get('mark inside mm'))).toBeCloseTo(arc(47.625), 2);
    expect(Number(step.get('mark center mm'))).toBeCloseTo(arc(63.5), 2);
    expect(Number(step.get('mark outside mm'))).toBeCloseTo(arc(79.375), 2);
    expect(step.get('into bend deg')).toBe('42');
  });

  test('a text with commas, quotes or a formula in it stays that text', () => {
    const table = tableOf('bench-frame');
    const [first] = table.pieces;
    const odd = { ...table, pieces: [{ ...first!, material: '=1+1, "hot" rolled' }] };
    expect(recordsOf(odd)[0]!.get('material')).toBe(`'=1+1, "hot" rolled`);
    expect(recordsOf({ ...odd, pieces: [{ ...first!, material: '1020' }] })[0]!.get('material')).toBe('1020');
  });
});
