import fc from 'fast-check';

/** Random jobs that a shop could want: every kind of part that mangled bases do not reach deeply, with sizes of the trade. */

const between = (min: number, max: number, step = 1): fc.Arbitrary<number> =>
  fc.integer({ min: 0, max: Math.round((max - min) / step) }).map((k) => Math.round((min + k * step) * 1000) / 1000);

const wall = fc.constantFrom(1, 1.5, 2, 3);

const round = (from: number, to: number): fc.Arbitrary<string> =>
  fc.record({ od: between(from, to, 0.1), wall }).map((s) => `{ kind: round, od: ${s.od}, wall: ${s.wall} }`);

/** Any section between two sizes. */
const section = (from: number, to: number): fc.Arbitrary<string> =>
  fc.oneof(
    round(from, to),
    fc
      .record({
        a: between(from, to),
        more: between(4, 40),
        wall,
        kind: fc.constantFrom('flat-oval', 'ellipse'),
        onEnd: fc.boolean(),
      })
      .map(({ a, more, wall: w, kind, onEnd }) => {
        const [width, height] = onEnd && kind === 'ellipse' ? [a, a + more / 2] : [a + more, a];
        return `{ kind: ${kind}, width: ${width}, height: ${height}, wall: ${w} }`;
      }),
    fc
      .record({ width: between(from, to), height: between(from, to), wall, corner: fc.constantFrom(0, 1, 3, 6) })
      .map(
        (s) =>
          `{ kind: rectangle, width: ${s.width}, height: ${s.height}, wall: ${s.wall}, corner-radius: ${s.corner} }`,
      ),
  );

const tenth = (x: number): number => Math.round(x * 10) / 10;

/** A step of a length at an angle, to a thousandth. */
const turned = (deg: number, long: number): readonly [number, number] => {
  const [c, s] = [Math.cos, Math.sin].map((f) => Math.round(f((deg * Math.PI) / 180) * long * 1000) / 1000);
  return [c!, s!];
};

const toward = fc.oneof(fc.constantFrom('up', 'down', 'left', 'right'), between(0, 359).map(String));
const saw = fc.constantFrom('bandsaw', 'chop-saw');
const shop = fc
  .record({
    bed: fc.constantFrom('[220, 220, 250]', '[180, 180, 180]', '[300, 300, 400]', '[120, 120, 120]'),
    slide: between(0.1, 0.6, 0.05),
    wall: fc.constantFrom(3, 4, 5),
    labels: fc.constantFrom(true, true, false),
    saw,
  })
  .map(
    (s) =>
      `shop: { printer: { bed: ${s.bed} }, fit: { slide: ${s.slide} }, wall: ${s.wall}mm, labels: ${s.labels}, saw: ${s.saw} }`,
  );

const job = (name: string, parts: Readonly<Record<string, string>>): string =>
  `job: ${name}\n${Object.entries(parts)
    .map(([key, text]) => (key === 'shop' ? text : `${key}: ${text}`))
    .join('\n')}\n`;

/** A taper between straights, perhaps eccentric, cut where it is so wide, at a plane or on a straight beside it. */
const taperJob = fc
  .record({
    shop,
    a: section(20, 90),
    b: section(20, 90),
    length: between(30, 180),
    before: between(0, 60),
    after: between(0, 60),
    right: fc.constantFrom(0, 0, 0, 5, 12),
    at: between(0.1, 0.9, 0.05),
    tilt: fc.constantFrom(0, 0, 10, 25),
    end: fc.constantFrom('start', 'end'),
    long: toward,
    tool: fc.constantFrom('auto', 'saw-guide', 'marking-gauge', 'notch-collar'),
  })
  .map((j) => {
    const whole = j.before + j.length + j.after;
    const run = [
      ...(j.before > 0 ? [`{ straight: ${j.before} }`] : []),
      `{ taper: { to: b, length: ${j.length}${j.right ? `, offset: [${j.right}, 0]` : ''} } }`,
      ...(j.after > 0 ? [`{ straight: ${j.after} }`] : []),
    ];
    const at = Math.round(j.at * whole * 10) / 10;
    return job('taper', {
      shop: j.shop,
      sections: `{ a: ${j.a}, b: ${j.b} }`,
      members: `{ m: { section: a, start: { heading: [0, 0, 1] }, run: [${run.join(', ')}] } }`,
      joints: `[{ trim: { end: m.${j.end}, at: ${at}, miter: ${j.tilt}, long-point: ${j.long} } }]`,
      tools: j.tool === 'auto' ? 'auto' : `[{ ${j.tool}: m.${j.end} }]`,
    });
  });

/** A taper cut where it has the width asked for. */
const taperSizeJob = fc
  .record({
    shop,
    from: between(40, 90),
    to: between(20, 60),
    more: between(1, 40),
    length: between(30, 180),
    share: between(-0.1, 1.1, 0.05),
  })
  .map((j) =>
    job('sized', {
      shop: j.shop,
      sections: `{ a: { kind: flat-oval, width: ${j.from + j.more}, height: ${j.from}, wall: 1.5 }, b: { kind: round, od: ${j.to}, wall: 1.5 } }`,
      members: `{ m: { section: a, start: { heading: [0, 0, 1] }, run: [{ taper: { to: b, length: ${j.length} } }, { straight: 40 }] } }`,
      joints: `[{ trim: { end: m.start, width: ${Math.round((j.from + j.more + j.share * (j.to - j.from - j.more)) * 100) / 100} } }]`,
      tools: 'auto',
    }),
  );

/** A branch that opens its run, or holes by themselves, with their gauges. */
const openingJob = fc
  .record({
    shop,
    run: section(30, 110),
    branch: section(12, 60),
    at: between(30, 370),
    aside: between(-15, 15),
    lean: between(-45, 45),
    open: fc.constantFrom('true', 'outside', 'false'),
    hole: fc.oneof(
      between(4, 50).map((d) => `round: ${d}`),
      fc.record({ a: between(4, 60), b: between(4, 40) }).map(({ a, b }) => `slot: [${a}, ${b}]`),
      fc
        .record({ a: between(4, 60), b: between(4, 40), c: between(0, 6) })
        .map(({ a, b, c }) => `rectangle: [${a}, ${b}], corner: ${c}`),
    ),
    holeAt: between(5, 395),
    toward,
    lean2: between(-30, 30),
    gap: fc.constantFrom(0, 0.5, 1.5),
  })
  .map((j) => {
    const dx = Math.round(Math.tan((j.lean * Math.PI) / 180) * 2000) / 10;
    return job('openings', {
      shop: j.shop,
      sections: `{ run: ${j.run}, branch: ${j.branch} }`,
      members: `{ run: { section: run, points: [[0, 0, 0], [400, 0, 0]] }, branch: { section: branch, points: [[${j.at + dx}, ${j.aside}, 200], [${j.at}, ${j.aside}, 0]] } }`,
      joints: `[{ cope: { branch: branch.end, run: run, open: ${j.open}, gap: ${j.gap} } }]`,
      openings: `{ hole: { on: run, at: ${j.holeAt}, toward: ${j.toward}, lean: ${j.lean2}, ${j.hole} } }`,
      tools: 'auto',
    });
  });

/** A segmented elbow between straights, with its segment guide. */
const elbowJob = fc
  .record({
    shop,
    section: section(25, 120),
    clr: between(30, 260),
    angle: between(15, 180),
    welds: between(1, 7),
    toward,
    before: between(0, 150),
    after: between(0, 150),
    gap: fc.constantFrom(0, 0, 1),
  })
  .map((j) =>
    job('elbow', {
      shop: j.shop,
      sections: `{ s: ${j.section} }`,
      members: `{ m: { section: s, start: { heading: [1, 0, 0] }, run: [${[...(j.before ? [`{ straight: ${j.before} }`] : []), `{ elbow: { clr: ${j.clr}, angle: ${j.angle}, welds: ${j.welds}, toward: ${j.toward}${j.gap ? `, gap: ${j.gap}` : ''} } }`, ...(j.after ? [`{ straight: ${j.after} }`] : [])].join(', ')}] } }`,
      tools: 'auto',
    }),
  );

/** Flat parts on a tube and in a corner. */
const plateJob = fc
  .record({
    a: section(20, 70),
    b: section(20, 70),
    lean: between(-40, 40),
    turn: between(40, 140),
    legs: between(60, 180),
    margin: between(2, 40),
    hole: between(3, 12),
    count: between(2, 8),
    fit: fc.constantFrom('over', 'on'),
    thick: fc.constantFrom(1, 3, 6, 10),
    along: between(60, 240),
  })
  .map((j) => {
    const [c, s] = turned(j.turn, 300);
    const [nx, nz] = turned(j.lean, 1);
    const out = j.hole / 2 + 3;
    return job('plates', {
      sections: `{ a: ${j.a}, b: ${j.b} }`,
      members: `{ a: { section: a, points: [[300, 0, 0], [0, 0, 0]] }, b: { section: b, points: [[0, 0, 0], [${c}, ${s}, 0]] } }`,
      plates: `{ p: { through: { members: [a], plane: { at: [${j.along}, 0, 0], normal: [${nx}, 0, ${nz}] }, outline: { margin: ${j.margin} } }, thickness: ${j.thick} }, f: { flange: { end: a.start, fit: ${j.fit}, margin: ${out + j.hole / 2 + j.margin}, bolts: { count: ${j.count}, hole: ${j.hole}, out: ${out} } }, thickness: ${j.thick} }, g: { gusset: { between: [a, b], legs: ${j.legs} }, thickness: ${j.thick} } }`,
      tools: '[]',
    });
  });

/** Two legs into a flat oval, and what they leave open. */
const fillerJob = fc
  .record({
    shop,
    od: between(25, 60),
    wide: between(1.9, 2.3, 0.05),
    high: between(0.95, 1.2, 0.05),
    apart: between(0.5, 0.65, 0.05),
  })
  .map((j) =>
    job('filler', {
      shop: j.shop,
      sections: `{ leg: { kind: round, od: ${j.od}, wall: 1.5 }, trunk: { kind: flat-oval, width: ${tenth(j.od * j.wide)}, height: ${tenth(j.od * j.high)}, wall: 1.5 } }`,
      members: `{ l: { section: leg, points: [[-${tenth(j.od * j.apart)}, 0, 300], [-${tenth(j.od * (j.apart - 0.1))}, 0, -20]] }, r: { mirror: l, across: { at: [0, 0, 0], normal: [1, 0, 0] } }, t: { section: trunk, points: [[0, 0, 60], [0, 0, -150]], up: [0, 1, 0] } }`,
      joints: '[{ merge: { legs: [l.end, r.end], trunk: t.start, name: wye } }]',
      plates: '{ x: { filler: wye, thickness: 2 } }',
      tools: '[{ notch-collar: t.start }]',
    }),
  );

/** A branch on a run, and a mitered corner, held for tacking. */
const cradleJob = fc
  .record({
    shop,
    a: section(15, 60),
    b: section(15, 60),
    lean: between(-50, 50),
    aside: between(-8, 8),
    long: between(120, 400),
    heat: between(5, 30),
    saddle: between(12, 30),
    base: fc.constantFrom('frame', 'plate'),
    corner: fc.boolean(),
    up: fc.constantFrom('', '', ', up: [0, 0, 1]', ', up: [0, 1, 0]', ', up: [0, -1, 0]'),
  })
  .map((j) => {
    const [s, c] = turned(j.lean, j.long);
    const joints = j.corner
      ? `[{ miter: { ends: [a.end, b.start], name: j } }]`
      : `[{ cope: { branch: b.start, run: a, name: j } }]`;
    const from = j.corner ? ([j.long, 0] as const) : ([j.long / 2, j.aside] as const);
    return job('cradle', {
      shop: j.shop,
      sections: `{ a: ${j.a}, b: ${j.corner ? j.a : j.b} }`,
      members: `{ a: { section: a, points: [[0, 0, 0], [${j.long}, 0, 0]] }, b: { section: b, points: [[${from.join(', ')}, 0], [${from[0] + c}, ${from[1] + s}, 0]] } }`,
      joints,
      tools: `[{ fit-up-cradle: { joint: j, heat: ${j.heat}, saddle: ${j.saddle}, base: ${j.base}${j.up} } }]`,
    });
  });

/** Tools for the bench: coupons, stand-ins, spacers, rings, angle blocks, drill guides. */
const benchJob = fc
  .record({
    shop,
    a: section(12, 60),
    b: section(12, 60),
    apart: between(20, 160),
    first: between(15, 150),
    turn: between(0, 359),
    clr: between(20, 160),
    angle: between(5, 178),
    second: between(5, 178),
    straight: between(20, 150),
    toward,
    tool: fc.constantFrom(
      'fit-coupon: a',
      'stand-in: m',
      'stand-in: { of: m, bend: 1 }',
      'spacer: { of: [a, b] }',
      'clocking-ring: m',
      'angle-block: { of: m, bend: 2 }',
      'drill: 0',
      'bush: 0',
      'stand-in: { section: a, straight: 60 }',
    ),
    at: between(10, 180),
    drill: between(2, 16),
    lean: between(-35, 35),
  })
  .map((j) => {
    const tool =
      j.tool.startsWith('drill') || j.tool.startsWith('bush')
        ? `drill-guide: { on: a, at: ${j.at}, toward: ${j.toward}, ${j.tool.split(':')[0]}: ${j.drill}, angle: ${j.lean} }`
        : j.tool;
    return job('bench', {
      shop: j.shop,
      sections: `{ a: ${j.a}, b: ${j.b} }`,
      members: `{ a: { section: a, points: [[0, 0, 0], [200, 0, 0]] }, b: { section: b, points: [[0, ${j.apart}, 0], [200, ${j.apart}, 0]] }, m: { section: a, start: { at: [0, 0, 400], heading: [1, 0, 0] }, run: [{ straight: ${j.first} }, { bend: { clr: ${j.clr}, angle: ${j.angle}, toward: ${j.toward} } }, { straight: ${j.straight} }, { bend: { clr: ${j.clr}, angle: ${j.second}, plane-of-bend: ${j.turn} } }, { straight: 40 }] } }`,
      tools: `[{ ${tool} }]`,
    });
  });

/** Cut ends with the usual tools: copes and trims on straights and in bends, of any section. */
const cutJob = fc
  .record({
    shop,
    a: section(8, 70),
    run: section(20, 110),
    lean: between(-65, 65),
    aside: between(-20, 20),
    long: between(60, 300),
    kind: fc.constantFrom('cope', 'trim', 'into-bend'),
    miter: between(0, 50),
    point: toward,
    clr: between(20, 160),
    angle: between(5, 178),
    into: between(0.1, 0.95, 0.05),
    toward,
    tool: fc.constantFrom('auto', 'saw-guide', 'marking-gauge', 'notch-collar'),
    datum: fc.constantFrom('auto', 'end', 'stock', 'mark'),
    surface: fc.constantFrom('outer', 'inner', 'square'),
  })
  .map((j) => {
    const [s, c] = turned(j.lean, j.long);
    const member =
      j.kind === 'into-bend'
        ? `{ section: a, start: { heading: [1, 0, 0] }, run: [{ straight: ${j.long} }, { bend: { clr: ${j.clr}, angle: ${j.angle}, toward: ${j.toward} } }, { straight: 60 }] }`
        : `{ section: a, points: [[${c}, ${j.aside}, ${s}], [0, ${j.aside}, 0]] }`;
    const joints =
      j.kind === 'cope'
        ? `[{ cope: { branch: m.end, run: run } }]`
        : j.kind === 'trim'
          ? `[{ trim: { end: m.end, at: ${Math.round(j.long * 0.7)}, miter: ${j.miter}, long-point: ${j.point} } }]`
          : `[{ trim: { end: m.end, into-bend: ${Math.max(1, Math.round(j.into * j.angle))}, miter: ${Math.round(j.miter / 3)}, long-point: ${j.point} } }]`;
    const body = j.tool === 'notch-collar' ? `, surface: ${j.surface}` : '';
    return job('cut', {
      shop: j.shop,
      sections: `{ a: ${j.a}, run: ${j.run} }`,
      members: `{ m: ${member}, run: { section: run, points: [[-400, 0, 0], [400, 0, 0]] } }`,
      joints,
      tools: j.tool === 'auto' ? 'auto' : `[{ ${j.tool}: { end: m.end, datum: ${j.datum}${body} } }]`,
    });
  });

export const KINDS = {
  taperJob,
  taperSizeJob,
  openingJob,
  elbowJob,
  plateJob,
  fillerJob,
  cradleJob,
  benchJob,
  cutJob,
} as const;

/** Any of them. */
export const shopJob: fc.Arbitrary<string> = fc.oneof(...Object.values(KINDS));
