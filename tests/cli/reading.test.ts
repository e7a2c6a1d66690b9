import { readFileSync } from 'node:fs';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { starterJob } from '../../src/job/starter.ts';
import { BAD_RAIL, type Bench, bench, RAIL, RAIL_TOOLS } from './bench.ts';

let place: Bench;
beforeEach(() => {
  place = bench();
  place.put('rail.yaml', RAIL);
});
afterEach(() => place.clear());

/** A leg bent 90 degrees and sawn 30 degrees into it; clr 76.2 on 50.8 tube, so inside 50.8, outside 101.6. */
const TWO_BENDS = `job: two
sections:
  tube: { kind: round, od: 30, wall: 2 }
members:
  leg:
    section: tube
    start: { at: [0, 0, 0], heading: [1, 0, 0], up: [0, 0, 1] }
    run:
      - straight: 40
      - bend: { clr: 50, angle: 90, toward: up }
      - straight: 60
      - bend: { clr: 50, angle: 90, toward: down }
      - straight: 60
joints:
  - trim: { end: leg.start, into-bend: 30, bend: 2 }
tools: []
`;

const SOLVED = `job: solved
sections:
  tube: { kind: round, od: 30mm, wall: 2mm }
members:
  leg:
    section: tube
    start: { at: [0, 0, 0], heading: [1, 0, 0], up: [0, 0, 1] }
    run:
      - straight: 80mm
      - bend: { clr: 60mm, angle: 30, toward: up, measured: { angle: 29.4 } }
      - straight: solve
      - bend: { clr: 60mm, angle: { one-of: [30, 60] }, toward: up }
      - straight: 100mm
    goal: { on-plane: { at: [0, 0, 150mm], normal: [0, 0, 1] } }
tools: []
`;

const BENT = `job: bent
sections:
  tube: { kind: round, od: 50.8, wall: 1.65 }
members:
  leg:
    section: tube
    start: { at: [0, 0, 0], heading: [1, 0, 0], up: [0, 0, 1] }
    run:
      - straight: 100
      - bend: { clr: 76.2, angle: 90, toward: up }
joints:
  - trim: { end: leg.end, into-bend: 30 }
`;

const INCHES = `job: inches
units: in
sections:
  tube: { kind: flat-oval, width: 4.5, height: 2, wall: 16bwg }
  post: { kind: round, od: 6, wall: 1/8 }
members:
  post: { section: post, points: [[0, 0, -50], [0, 0, 50]] }
  leg:
    section: tube
    start: { at: [0, 0, 0], heading: [1, 0, 0], up: [0, 0, 1] }
    run:
      - straight: 104-1/64
      - bend: { clr: 3, angle: 90, toward: up }
      - straight: 111-11/64
joints:
  - cope: { branch: leg.start, run: post, gap: 1/64 }
`;

const WYE = `job: wye
sections:
  leg: { kind: round, od: 50, wall: 1.5 }
  duct: { kind: flat-oval, width: 110, height: 50, wall: 1.5 }
members:
  left: { section: leg, points: [[-200, 60, 0], [0, 20, 0]] }
  right: { section: leg, points: [[-200, -60, 0], [0, -20, 0]] }
  trunk: { section: duct, points: [[-20, 0, 0], [200, 0, 0]], up: [0, 0, 1] }
joints:
  - merge: { legs: [left.end, right.end], trunk: trunk.start }
`;

describe('check', () => {
  it('shows every setting with its origin, the layout and the tools', async () => {
    const { code, out, err } = await place.kerfwright(['check', 'rail.yaml', '--set', 'shop.fit.slide=0.4']);
    expect({ code, err }).toEqual({ code: 0, err: '' });
    expect(out).toMatch(/^rail\.yaml: job rail, millimeters: no problems$/m);
    expect(out).toMatch(/^ {2}labels +no +file$/m);
    expect(out).toMatch(/^ {2}fit\.slide +0\.4 mm +set$/m);
    expect(out).toMatch(/^ {2}saws\.chop-saw\.kerf +2\.4 mm +default$/m);
    expect(out).toMatch(/^ {2}rail: round 30 x 2 mm$/m);
    expect(out).toMatch(/^ {4}1 straight, 0 bends, centerline 300\.00 mm$/m);
    expect(out).toMatch(/^ {2}rail\.end +trim +flat, 20\.00 deg$/m);
    for (const tool of RAIL_TOOLS) expect(out).toContain(tool);
    for (const line of out.split('\n')) expect(line.length).toBeLessThanOrEqual(80);
    expect(place.all()).toEqual(['rail.yaml']);
  });

  it('tells a saw named in the file from the values it leaves to us', async () => {
    place.put('saw.yaml', RAIL.replace('labels: false', 'saws: { mine: { kind: top-down, kerf: 2.6 } }'));
    const { out } = await place.kerfwright(['check', 'saw.yaml']);
    expect(out).toMatch(/^ {2}saws\.mine\.kerf +2\.6 mm +file$/m);
    expect(out).toMatch(/^ {2}saws\.mine\.blade +2 mm +default$/m);
    expect(out).toMatch(/^ {2}saw +mine +default$/m);
  });

  it('fails with 1 on errors, with the place on stderr', async () => {
    place.put('bad.yaml', BAD_RAIL);
    const { code, out, err } = await place.kerfwright(['check', 'bad.yaml']);
    expect({ code, out }).toEqual({ code: 1, out: '' });
    expect(err).toMatch(/^bad\.yaml:4:\d+ {2}field\/out-of-range$/m);
  });

  it('gives settings, members, ends, tools and problems as JSON, several jobs in one document', async () => {
    place.put('bad.yaml', BAD_RAIL);
    const { code, out, err } = await place.kerfwright(['check', 'rail.yaml', 'bad.yaml', 'none.yaml', '--json']);
    expect(code).toBe(2);
    expect(err).toBe('kerfwright: none.yaml: there is no such file or folder\n');
    const { format, version, jobs } = JSON.parse(out);
    expect({ format, version }).toEqual({ format: 'kerfwright-check', version: 1 });
    expect(jobs[0]).toMatchObject({ file: 'rail.yaml', ok: true, job: 'rail', units: 'mm', problems: [] });
    expect(jobs[0].shop).toContainEqual({ field: 'fit.slide', value: 0.3, unit: 'mm', from: 'default' });
    expect(jobs[0].ends).toContainEqual({
      end: 'rail.end',
      joint: 'trim-rail-end',
      kind: 'trim',
      cut: 'flat',
      miterDeg: 20,
      bend: null,
    });
    expect(jobs[0].tools.map((tool: { name: string }) => tool.name).sort()).toEqual(RAIL_TOOLS);
    expect(jobs[1]).toMatchObject({ ok: false, problems: [{ code: 'field/out-of-range', line: 4 }] });
    expect(jobs[2]).toMatchObject({ ok: false, failure: 'there is no such file or folder' });
  });
});

describe('solve', () => {
  it('gives marks within a bend: 30 deg at clr 76.2 on 50.8 tube is 26.60 inside, 39.90 center, 53.20 outside', async () => {
    place.put('bent.yaml', BENT);
    const { code, out } = await place.kerfwright(['solve', 'bent.yaml']);
    expect(code).toBe(0);
    expect(out).toMatch(/^ {6}along the inside +26\.60$/m);
    expect(out).toMatch(/^ {6}along the center +39\.90$/m);
    expect(out).toMatch(/^ {6}along the outside +53\.20$/m);
    expect(out).toContain('30.00 deg into bend 1 (90.00 deg, clr 76.20 mm)');
    expect(out).toMatch(/^ +100\.00 +0\.00 +90\.00 +76\.20 +119\.69$/m);
  });

  it('counts the bend that a cut lies in: a start trimmed into bend 2 leaves bend 2, not the first', async () => {
    place.put('two.yaml', TWO_BENDS);
    const { out } = await place.kerfwright(['solve', 'two.yaml']);
    expect(out).toContain('the start is cut within bend 2; long point at the end to bend 2 60.00');
    expect(out).not.toContain('first bend');
    const { out: json } = await place.kerfwright(['solve', 'two.yaml', '--json']);
    const { bending } = JSON.parse(json).jobs[0].pieces[0];
    expect(bending.fromStart).toMatchObject({ bend: 2 });
    expect(bending.toEnd).toEqual({ bend: 2, straight: 60 });
    place.put('none.yaml', TWO_BENDS.replace('leg.start, into-bend: 30, bend: 2', 'leg.start, at: 290'));
    expect((await place.kerfwright(['solve', 'none.yaml'])).out).toContain('the cuts leave no bend');
  });

  it('gives points with clr, tangent points and rows of every member, bent or not', async () => {
    place.put('two.yaml', TWO_BENDS);
    const { out } = await place.kerfwright(['solve', 'two.yaml']);
    // Up at clr 50 after 40, then back level: tangent points at 40, 90 up 50, and 60 above each other.
    expect(out).toMatch(/^ {4}1 in +40\.00 +0\.00 +0\.00$/m);
    expect(out).toMatch(/^ {4}1 out +90\.00 +0\.00 +50\.00$/m);
    expect(out).toMatch(/^ {4}2 in +90\.00 +0\.00 +110\.00$/m);
    expect(out).toMatch(/^ {4}2 out +140\.00 +0\.00 +160\.00$/m);
    expect(out).toMatch(/^ +90\.00 +0\.00 +0\.00 +50\.00$/m);
    expect(out).toMatch(/^ +90\.00 +0\.00 +160\.00 +50\.00$/m);
    expect(out).toContain('start, corners with clr, end, x y z:');
    place.put(
      'bar.yaml',
      'job: bar\nsections: { t: { kind: round, od: 20, wall: 2 } }\nmembers: { bar: { section: t, points: [[1, 2, 3], [1, 2, 300]] } }\n',
    );
    expect((await place.kerfwright(['solve', 'bar.yaml'])).out).toMatch(
      /start, end, x y z:\n +1\.00 +2\.00 +3\.00\n +1\.00 +2\.00 +300\.00\n/,
    );
  });

  it('tells how solved numbers were come by, and what was measured of a bend, as check does', async () => {
    place.put('solved.yaml', SOLVED);
    for (const command of ['solve', 'check']) {
      const { code, out } = await place.kerfwright([command, 'solved.yaml']);
      expect(code).toBe(0);
      const text = out.replace(/\s+/g, ' ');
      expect(text).toMatch(/solved: bend angle in run item 4 30\.00 deg/);
      expect(text).toContain('wanted: bend angle in run item 4 one of 30 deg, 60 deg');
      expect(text).toMatch(/does not do: 60 deg: straight in run item 3 would have to be -/);
      expect(text).toMatch(/bend 1 as measured.*29\.40/);
      for (const line of out.split('\n')) expect(line.length, line).toBeLessThanOrEqual(80);
    }
    const { out } = await place.kerfwright(['check', 'solved.yaml', '--json']);
    expect(JSON.parse(out).jobs[0].members[0].solving).toMatchObject({
      by: 'only one',
      others: [],
      tried: [{ choice: '60 deg' }],
    });
  });

  it.each([
    ['a cut in a bend', BENT],
    ['two bends, the first cut away', TWO_BENDS],
    ['solved numbers in inches', SOLVED.replace('job: solved', 'job: solved\nunits: in').replaceAll('mm', '')],
    ['a cope and a miter', RAIL],
    ['a merge into an oval', WYE],
  ])('keeps %s within 80 columns', async (_, text) => {
    place.put('job.yaml', text);
    const { code, out } = await place.kerfwright(['solve', 'job.yaml']);
    expect(code).toBe(0);
    for (const line of out.split('\n')) expect(line.length, line).toBeLessThanOrEqual(80);
  });

  it('gives inches with the nearest 64th where the job is in inches, still within 80 columns', async () => {
    place.put('inches.yaml', INCHES);
    const { code, out } = await place.kerfwright(['solve', 'inches.yaml']);
    expect(code).toBe(0);
    expect(out).toMatch(
      /^ +straight +turn +bend +clr +arc\n +104\.016 \(104-1\/64\) +0\.00 +90\.00 +3\.000 \(3\) +4\.712 \(4-23\/32\)$/m,
    );
    for (const line of out.split('\n')) expect(line.length, line).toBeLessThanOrEqual(80);
  });

  it('gives the ordinates of a curved cut every 45 degrees, and lengths that agree with the closed form', async () => {
    const { out } = await place.kerfwright(['solve', 'rail.yaml', '--json']);
    const { format, jobs } = JSON.parse(out);
    expect(format).toBe('kerfwright-solve');
    const rail = jobs[0].pieces.find((piece: { member: string }) => piece.member === 'rail');
    const [start, end] = rail.ends;
    // Branch r 15 on run R 20, 90 deg: cut back R - sqrt(R^2 - r^2) at the sides of the run, counted from the long point.
    const deep = 20 - Math.sqrt(20 ** 2 - 15 ** 2);
    expect(start.ordinates.map((o: { turnDeg: number }) => o.turnDeg)).toEqual([0, 45, 90, 135, 180, 225, 270, 315]);
    const cutBacks = start.ordinates.map((o: { cutBack: number }) => o.cutBack);
    expect(Math.max(...cutBacks)).toBeCloseTo(deep, 5);
    expect(Math.min(...cutBacks)).toBeCloseTo(0, 5);
    // Long points: the rail's end at 280 + 15 tan 20, its start on the post at sqrt(400 - 225).
    expect(rail.stockLength).toBeCloseTo(280 + 15 * Math.tan((20 * Math.PI) / 180) - Math.sqrt(175), 4);
    expect(end.flat.miterDeg).toBeCloseTo(20, 6);
    expect(end.longPoint).toBe(rail.stockLength);
  });

  it('reports a merge: bores, ratio and what the trunk leaves open, with no word about a best ratio', async () => {
    place.put('wye.yaml', WYE);
    const { code, out } = await place.kerfwright(['solve', 'wye.yaml']);
    expect(code).toBe(0);
    expect(out).toMatch(/bore of the trunk +\d+\.\d mm\^2/);
    expect(out).toMatch(/trunk over legs +\d\.\d{3}/);
    expect(out).toContain('left open at the start of the trunk');
    expect(out).not.toMatch(/best|optimal|ideal/i);
  });

  it('is as long as it is told with --set', async () => {
    place.put('bent.yaml', BENT);
    const { out } = await place.kerfwright([
      'solve',
      'bent.yaml',
      '--set',
      'members.leg.run.0.straight=250mm',
      '--json',
    ]);
    expect(JSON.parse(out).jobs[0].pieces[0].bending.rows[0].straight).toBe(250);
  });
});

describe('init', () => {
  it('prints the starter job, or writes it into a file', async () => {
    expect((await place.kerfwright(['init'])).out).toBe(starterJob());
    expect((await place.kerfwright(['init', '-'])).out).toBe(starterJob());
    const { code, out } = await place.kerfwright(['init', 'new.yaml']);
    expect({ code, out }).toEqual({ code: 0, out: 'new.yaml\n' });
    expect(place.text('new.yaml')).toBe(starterJob());
    expect(place.all()).toEqual(['new.yaml', 'rail.yaml']);
  });

  it('replaces a file only with --force', async () => {
    const { code, err } = await place.kerfwright(['init', 'rail.yaml']);
    expect(code).toBe(2);
    expect(err).toContain('output/exists');
    expect(place.text('rail.yaml')).toBe(RAIL);
    expect((await place.kerfwright(['init', 'rail.yaml', '--force'])).code).toBe(0);
    expect(place.text('rail.yaml')).toBe(starterJob());
  });

  it('says when it cannot write, and leaves nothing', async () => {
    const { code, err } = await place.kerfwright(['init', 'rail.yaml/new.yaml']);
    expect(code).toBe(2);
    expect(err).toContain('output/unwritable');
    expect(place.all()).toEqual(['rail.yaml']);
  });

  it('writes a job that check passes', async () => {
    await place.kerfwright(['init', 'new.yaml']);
    const { code, err } = await place.kerfwright(['check', 'new.yaml']);
    expect({ code, err }).toEqual({ code: 0, err: '' });
  });
});

describe('schema', () => {
  it('is a JSON Schema of a job', async () => {
    const { code, out } = await place.kerfwright(['schema']);
    expect(code).toBe(0);
    expect(JSON.parse(out)).toMatchObject({
      title: 'Kerfwright job',
      type: 'object',
      required: expect.arrayContaining(['job']),
    });
  });
});

describe('color', () => {
  const colored = async (env: Readonly<Record<string, string>>, stderrIsTerminal: boolean): Promise<boolean> => {
    place.put('bad.yaml', BAD_RAIL);
    const { err } = await place.kerfwright(['check', 'bad.yaml'], { env, stderrIsTerminal });
    expect(err).toContain('field/out-of-range');
    return err.includes('\u001b[');
  };

  it('is on for a terminal, and off for pipes, NO_COLOR and TERM=dumb', async () => {
    expect(await colored({ TERM: 'xterm' }, true)).toBe(true);
    expect(await colored({ TERM: 'xterm' }, false)).toBe(false);
    expect(await colored({ TERM: 'xterm', NO_COLOR: '1' }, true)).toBe(false);
    expect(await colored({ TERM: 'xterm', NO_COLOR: '' }, true)).toBe(true);
    expect(await colored({ TERM: 'dumb' }, true)).toBe(false);
  });
});

describe('help', () => {
  it('gives the defaults that the schema gives', async () => {
    const help = (await place.kerfwright(['build', '--help'])).out;
    const { out } = await place.kerfwright(['check', 'rail.yaml', '--set', 'shop.labels=true', '--json']);
    const rows: { field: string; value: number | number[] }[] = JSON.parse(out).jobs[0].shop;
    for (const { field, value } of rows) {
      if (typeof value !== 'number' || field.startsWith('saws.')) continue;
      expect(help, field).toMatch(
        new RegExp(`shop\\.${field.replaceAll('.', '\\.')} +${String(value).replace('.', '\\.')} mm`),
      );
    }
    expect(help).toContain('220 x 220 x 250 mm');
  });

  it('names the version of the package', async () => {
    const { version } = JSON.parse(readFileSync(new URL('../../package.json', import.meta.url), 'utf8'));
    expect((await place.kerfwright(['--version'])).out).toBe(`${version}\n`);
  });
});
