import { readdirSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { Ajv2020, type ValidateFunction } from 'ajv/dist/2020.js';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { SCHEMA_NAMES, SCHEMAS, type SchemaName } from '../../src/cli/schema.ts';
import { BAD_INPUTS } from '../bad-input/cases.ts';
import { example } from '../support/tools.ts';
import { BAD_RAIL, type Bench, bench, byHand, RAIL, RAIL_TOOLS } from './bench.ts';

const validators = new Map<SchemaName, ValidateFunction>();
for (const name of SCHEMA_NAMES) {
  const ajv = new Ajv2020({ strict: name !== 'job', allErrors: true, allowUnionTypes: true });
  if (name !== 'job') validators.set(name, ajv.compile(await SCHEMAS[name]()));
}

/** What the schema finds wrong with a document; an empty list when it fits. */
function faults(name: SchemaName, text: string): readonly string[] {
  const valid = validators.get(name)!;
  if (valid(JSON.parse(text))) return [];
  return (valid.errors ?? []).map(
    ({ instancePath, message, params }) => `${instancePath} ${message} ${JSON.stringify(params)}`,
  );
}

let place: Bench;
beforeEach(() => {
  place = bench();
});
afterEach(() => place.clear());

const EXAMPLES = readdirSync(new URL('../../fixtures-examples', import.meta.url), { withFileTypes: true })
  .filter((entry) => entry.isDirectory() && entry.name !== 'pictures')
  .map(({ name }) => name);

/** Documents whose every key is taken out or changed below, so that the schemas are seen to refuse. */
const samples = new Map<SchemaName, unknown>();
const keep = (name: SchemaName, text: string): void => {
  samples.set(name, JSON.parse(text));
};

describe('what --json prints fits its published schema', () => {
  it.each(EXAMPLES)('check and solve of the example %s', async (name) => {
    place.put('job.yaml', example(name));
    for (const command of ['check', 'solve'] as const) {
      const { out } = await place.kerfwright([command, 'job.yaml', '--json']);
      expect(faults(command, out)).toEqual([]);
      if (name === 'dust-wye') keep(command, out);
    }
  });

  it('check and solve of numbers left to solve, chosen from several answers and from stock, around a measured bend', async () => {
    place.put(
      'job.yaml',
      `job: t
sections: { t: { kind: round, od: 30, wall: 2 } }
members:
  rail:
    section: t
    start: { heading: [1, 0, 0], up: [0, 0, 1] }
    run: [{ straight: 100 }, { bend: { clr: 76, angle: 30, toward: right, measured: { angle: 29.5 } } }, { straight: { between: [10, 400] } }, { bend: { clr: 76, angle: { one-of: [15, 45, 100, 170] }, toward: left } }, { straight: 50 }]
    goal: { on-plane: { at: [0, -112, 0], normal: [0, 1, 0] } }
`,
    );
    for (const command of ['check', 'solve'] as const) {
      const { out } = await place.kerfwright([command, 'job.yaml', '--json']);
      expect(faults(command, out)).toEqual([]);
      expect(out).toMatch(/"by":\s*"least bend"/);
      expect(out).toMatch(/"why":/);
    }
  });

  it('jobs that are wrong in every way we know, files that are not there, and variants', async () => {
    const bad = BAD_INPUTS.filter(({ yaml }) => yaml.length < 20_000);
    for (const [i, { yaml }] of bad.entries()) place.put(`${String(i).padStart(3, '0')}.yaml`, yaml);
    place.put('binary.yaml', Uint8Array.of(0xff, 0xfe, 0x00));
    place.put('empty.yaml', '');
    place.put(
      'variants.yaml',
      `${RAIL}variants:\n  thin: { sections.tube.wall: 1.5 }\n  bad: { sections.tube.wall: 99 }\n`,
    );
    for (const command of ['check', 'solve'] as const) {
      const { code, out } = await place.kerfwright([command, '.', 'missing.yaml', '--json']);
      expect(code).not.toBe(0);
      expect(faults(command, out)).toEqual([]);
      const { jobs } = JSON.parse(out) as { readonly jobs: readonly { readonly ok: boolean }[] };
      expect(jobs.filter(({ ok }) => !ok).length).toBeGreaterThan(bad.length);
    }
  });

  it('builds: first, unchanged, changed, tried, wrong, missing; and the manifest and cut list they write', async () => {
    place.put('rail.yaml', RAIL);
    place.put('bad.yaml', BAD_RAIL);
    for (const argv of [
      ['rail.yaml', '--format', 'stl,json'],
      ['rail.yaml', '--format', 'stl,json'],
      ['rail.yaml', 'bad.yaml', 'missing.yaml', '--format', 'stl,json', '--set', 'sections.tube.od=31'],
      ['rail.yaml', '--dry-run', '--only', '*collar'],
      ['rail.yaml', '--only', 'nothing'],
    ]) {
      const { out } = await place.kerfwright(['build', ...argv, '--json']);
      expect(faults('build', out), argv.join(' ')).toEqual([]);
      if (argv.includes('bad.yaml')) keep('build', out);
    }
    expect(faults('manifest', place.text('out/rail/manifest.json'))).toEqual([]);
    expect(faults('cut-list', place.text('out/rail/rail-cut-list.json'))).toEqual([]);
    keep('manifest', place.text('out/rail/manifest.json'));
  });

  it('what is measured on tools of every kind, and on parts that stand together', async () => {
    place.put(
      'job.yaml',
      `job: t
sections: { t: { kind: round, od: 30, wall: 2 }, b: { kind: round, od: 20, wall: 2 } }
members:
  rail: { section: t, points: [[0, 0, 0], [200, 0, 0]] }
  post: { section: b, points: [[100, 0, 150], [100, 0, 0]] }
joints: [{ cope: { branch: post.end, run: rail, name: tee } }, { trim: { end: rail.end, at: 190 } }]
tools:
  - drill-guide: { on: rail, at: 30, toward: up, drill: 6 }
  - stand-in: post
  - fit-coupon: b
  - fit-up-cradle: { joint: tee, heat: 15 }
  - marking-gauge: rail.end
shop: { printer: { bed: [100, 100, 200] } }
`,
    );
    const { out } = await place.kerfwright(['build', 'job.yaml', '--json', '--format', 'stl']);
    expect(faults('build', out)).toEqual([]);
    const manifest = place.text('out/t/manifest.json');
    expect(faults('manifest', manifest)).toEqual([]);
    for (const measured of ['boreDeviation', 'skinCover', 'seamDistance', 'partsOverlap']) {
      expect(out).toContain(measured);
      expect(manifest).toContain(measured);
    }
  });

  it('each event of a watch: built, with problems, gone, stopped', async () => {
    place.put('rail.yaml', RAIL);
    const hand = byHand();
    const { code, out, err } = await place.kerfwright(
      ['watch', 'rail.yaml', '--only', RAIL_TOOLS[0], '--format', 'stl', '--json'],
      {
        watching: hand.watching,
        heard: (text) => {
          if (text.includes('"watching"')) place.put('rail.yaml', BAD_RAIL);
          if (text.includes('lastGood')) rmSync(join(place.folder, 'rail.yaml'));
          if (text.includes('"gone"')) hand.stopped();
          else hand.changed();
        },
      },
    );
    expect({ code, err }).toEqual({ code: 130, err: '' });
    const lines = out.trimEnd().split('\n');
    for (const line of lines) expect(faults('watch', line), line).toEqual([]);
    const events = lines.map((line) => JSON.parse(line) as Readonly<Record<string, unknown>>);
    expect(events.map(({ event, ok }) => [event, ok])).toEqual([
      ['job', true],
      ['watching', undefined],
      ['job', false],
      ['gone', undefined],
      ['stopped', undefined],
    ]);
    expect(events[0]).toMatchObject({
      file: 'rail.yaml',
      job: 'rail',
      written: [`${RAIL_TOOLS[0]}.stl`, 'manifest.json'],
    });
    expect(events[2]).toMatchObject({ lastGood: 'out/rail' });
    expect(events[3]).toMatchObject({ file: 'rail.yaml', folders: [] });
    samples.set('watch', events[2]);
  });

  it('and a document that is out of shape does not', () => {
    expect([...samples.keys()].sort()).toEqual(['build', 'check', 'manifest', 'solve', 'watch']);
    for (const [name, sample] of samples)
      for (const broken of spoiled(sample)) expect(faults(name, broken.text), `${name} ${broken.how}`).not.toEqual([]);
  });
});

/** The document over and over, each time with one thing wrong: a key too many in an object, or a number that is a text. */
function spoiled(sample: unknown): readonly { readonly how: string; readonly text: string }[] {
  const out: { readonly how: string; readonly text: string }[] = [];
  const visit = (value: unknown, path: readonly (string | number)[]): void => {
    if (typeof value !== 'object' || value === null) return;
    if (!Array.isArray(value))
      out.push({ how: `${path.join('.')} with a key too many`, text: withChange(sample, path) });
    // One of each list is enough.
    const inner = Array.isArray(value) ? value.slice(0, 1).map((of, i) => [i, of] as const) : Object.entries(value);
    for (const [key, of] of inner) visit(of, [...path, key]);
  };
  visit(sample, []);
  return out;
}

function withChange(sample: unknown, path: readonly (string | number)[]): string {
  const copy: unknown = structuredClone(sample);
  let at = copy as Record<string | number, unknown>;
  for (const key of path) at = at[key] as Record<string | number, unknown>;
  at.surprise = 1;
  return JSON.stringify(copy);
}

describe('the schema command', () => {
  it.each(SCHEMA_NAMES)('prints the schema of %s', async (name) => {
    const { code, out } = await place.kerfwright(['schema', name]);
    expect(code).toBe(0);
    expect(JSON.parse(out)).toEqual(JSON.parse(JSON.stringify(await SCHEMAS[name]())));
  });

  it('knows no other', async () => {
    const { code, err } = await place.kerfwright(['schema', 'biuld']);
    expect(code).toBe(2);
    expect(err).toContain('Allowed choices are job, cut-list, manifest, build, watch, check, solve');
  });
});
