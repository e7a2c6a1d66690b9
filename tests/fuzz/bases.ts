/** Small jobs that between them hold every kind of section, centerline, joint, tool and shop field: what is mangled. */
export const BASES: readonly string[] = [
  `job: rail
units: mm
shop:
  printer: { bed: [220, 220, 250], material: petg }
  fit: { slide: 0.3 }
  saws: { band: { kind: vertical-band, kerf: 1.2, blade: 0.9 } }
  saw: band
sections:
  tube: { kind: round, od: 30, wall: 2 }
  post: { kind: round, od: 40, wall: 2, measured: { od: 40.1 } }
members:
  post: { section: post, points: [[0, 0, -200], [0, 0, 200]] }
  rail: { section: tube, points: [[0, 0, 0], [300, 0, 0]] }
joints:
  - cope: { branch: rail.start, run: post, gap: 0.5 }
  - trim: { end: rail.end, at: 280, miter: 20, long-point: up }
tools: auto
`,
  `job: bent
units: in
sections: { s: { kind: rectangle, width: 2in, height: 1-1/2in, corner-radius: 1/8in, wall: 16bwg } }
members:
  m:
    section: s
    start: { at: [0, 0, 0], heading: [1, 0, 0], up: [0, 0, 1] }
    run:
      - straight: 4
      - bend: { clr: 3D, angle: 60, toward: up }
      - straight: 3-1/4in
joints:
  - trim: { end: m.end, into-bend: 30 }
tools:
  - saw-guide: m.end
  - marking-gauge: { end: m.end, grip: 40mm }
`,
  `job: corner
sections: { s: { kind: square, side: 30, wall: 2, corner-radius: 3 } }
members:
  a: { section: s, points: [[0, 0, 0], [300, 0, 0]], up: [0, 0, 1] }
  b: { section: s, points: [[300, 0, 0], [300, 250, 0]], up: [0, 0, 1] }
  c: { mirror: b, across: { at: [150, 0, 0], normal: [1, 0, 0] } }
joints:
  - miter: { ends: [a.end, b.start], gap: 1 }
  - butt: { ends: [c.start, a.start] }
tools:
  - saw-guide: { end: a.end, saw: chop-saw, datum: stock }
  - saw-guide: b.start
`,
  `job: wye
sections:
  leg: { kind: round, od: 50, wall: 1.5 }
  trunk: { kind: flat-oval, width: 110, height: 55, wall: 1.5 }
members:
  left: { section: leg, points: [[-30, 0, 300], [-24, 0, -20]] }
  right: { section: leg, points: [[30, 0, 300], [24, 0, -20]] }
  trunk: { section: trunk, points: [[0, 0, 60], [0, 0, -200]], up: [0, 1, 0] }
joints:
  - merge: { legs: [left.end, right.end], trunk: trunk.start }
tools:
  - notch-collar: { end: trunk.start, datum: mark, grip: 30 }
`,
  `job: goal
sections: { t: { kind: ellipse, width: 40, height: 30, wall: 2 } }
members:
  m:
    section: t
    start: { at: [0, 0, 0], heading: [1, 0, 0], up: [0, 0, 1] }
    run:
      - straight: solve
      - bend: { clr: 90, angle: 45, toward: 10 }
      - straight: 100
    goal: { on-plane: { at: [400, 0, 0], normal: [1, 0, 0] } }
joints:
  - trim: { end: m.end, at: 120 }
variants:
  short: { members.m.run.2.straight: 80 }
`,
  `job: duct
sections:
  d: { kind: round, od: 60, wall: 1.5, material: "304" }
  o: { kind: flat-oval, width: 80, height: 40, wall: 1.5 }
  s: { kind: round, nps: 1, sch: 40 }
members:
  d:
    section: d
    start: { at: [0, 0, 0], heading: [1, 0, 0] }
    run: [{ straight: 150 }, { elbow: { clr: 90, angle: 60, welds: 2, toward: right } }, { straight: 40 }]
  t: { section: o, start: { at: [0, 300, 0], heading: [1, 0, 0] }, run: [{ taper: { to: d, length: 90, measured: { length: 90.5 } } }, { straight: 30 }] }
  s: { section: s, points: [[90, 0, 150], [90, 0, 0]] }
joints:
  - trim: { end: t.start, width: 72 }
  - cope: { branch: s.end, run: d, open: true, gap: 1, shrink: 0.5 }
openings:
  probe: { on: d, at: 40, toward: 30, slot: [12, 8], lean: 10 }
plates:
  hanger: { through: { members: [d], plane: { at: [30, 0, 0], normal: [1, 0, 0.1] }, outline: { margin: 15 } }, thickness: 3 }
  foot: { flange: { end: s.start, fit: on, margin: 25, bolts: { count: 4, hole: 9, out: 12, from: 45 } }, thickness: 6 }
tools:
  - segment-guide: { elbow: d, saw: bandsaw }
  - opening-gauge: probe
`,
  `job: bench
sections: { t: { kind: round, od: 25, wall: 2 } }
stock: { t: { lengths: [1000, 600], square-end: 5, trim: 1, grip: 50 } }
keep-out: { wall: { plane: { at: [0, -90, 0], normal: [0, 1, 0] }, clearance: 5 } }
clearance: 10
heat: { rise: 60 }
members:
  a: { section: t, points: [[0, 0, 0], [240, 0, 0]] }
  b: { section: t, points: [[0, 70, 0], [240, 70, 0]] }
  c: { section: t, points: [[120, 70, 0], [120, 0, 0]] }
  m: { section: t, start: { at: [0, 200, 0], heading: [1, 0, 0] }, run: [{ straight: 60 }, { bend: { clr: 50, angle: 40, toward: right } }, { straight: 50 }, { bend: { clr: 50, angle: 30, plane-of-bend: 90 } }, { straight: 60 }] }
joints:
  - cope: { branch: c.end, run: a, name: tee }
tools:
  - fit-up-cradle: { joint: tee, heat: 12, saddle: 14, base: plate }
  - clocking-ring: m
  - drill-guide: { on: a, at: 30, toward: up, drill: 6, angle: 10 }
  - spacer: { of: [a, b], at: 60 }
  - stand-in: { of: m, bend: 1 }
  - angle-block: { of: m, bend: 2, length: 60 }
  - fit-coupon: { section: t, clearances: [0.2, 0.4] }
`,
];

/** Lines of other jobs and words of the language, put in where they do not belong. */
export const SCRAPS: readonly string[] = [
  ...new Set(BASES.flatMap((text) => text.split(/[\s{}[\]:,]+/).filter((word) => word !== ''))),
  ...['.inf', '-.inf', '.nan', 'null', '~', 'true', 'yes', '1e309', '-0', '0', '1e-300', '99999999', '-5', '1/0', '3/'],
  ...['0x1F', '010', '12:30', '1_000', '1,5', '16ga', '2 1/4 in', '57.15mm', '1:12', '45deg', '"', "'", '|', '>', '&a'],
  ...[
    '*a',
    '!!str',
    '---',
    '...',
    '<<',
    '{',
    '}',
    '[',
    ']',
    ': ',
    '- ',
    '#',
    '%YAML 1.1',
    '\t',
    '\r',
    '\u0000',
    '\ufeff',
  ],
  ...[
    '\u2028',
    'ø',
    '管',
    '🔧',
    '\ud83d',
    '../..',
    'CON',
    'a/b',
    '__proto__',
    'constructor',
    'toString',
    'cone',
    'taper',
  ],
  ...['[0, 0, 0]', '[1, 0]', '[[0,0,0],[0,0,0]]', '{ kind: round, od: 1, wall: 1 }', 'joints: []', 'tools: []'],
];
