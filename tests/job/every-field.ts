/** A job that uses every field of the format; its geometry makes no sense beyond passing the checks of the file. */
export const EVERY_FIELD = `job: every-field
about: uses every field
units: mm
shop:
  printer: { bed: [220, 220, 250], nozzle: 0.4, layer: 0.2, material: petg }
  fit: { slide: 0.3 }
  wall: 4
  strap: { width: 5, thickness: 2 }
  labels: true
  chord-tolerance: 0.01
  saws:
    bandsaw: { kind: vertical-band, kerf: 1.2, blade: 0.9, clearance: 0.3 }
    chop-saw: { kind: top-down, kerf: 2.4, blade: 2.0, clearance: 0.4 }
  saw: bandsaw
  bender: { grip: 40, first: 60, between: 30, last: 50, clr: 40 }
sections:
  leg: { kind: round, od: 63.5, wall: 16bwg, material: "304", measured: { od: 63.4 } }
  duct: { kind: flat-oval, width: 120, height: 60, wall: 1.5, material: "304", density: 8, expansion: 17.3 }
  post: { kind: rectangle, width: 40, height: 60, wall: 2, corner-radius: 3 }
  frame: { kind: square, side: 40, wall: 2, measured: { side: 39.8 } }
  pipe: { kind: round, nps: 1-1/2, sch: 40 }
  spar: { kind: ellipse, width: 60, height: 40, wall: 2 }
members:
  trunk:
    section: duct
    start: { at: [0, 0, 0], heading: [0, 0, 1], up: [0, 1, 0] }
    run:
      - straight: 200
      - bend: { clr: 1D, angle: 45, toward: left }
      - straight: solve
      - bend: { clr: 90, angle: solve, plane-of-bend: 90 }
    goal:
      - on-plane: { at: [0, 0, 500], normal: [0, 0, 1] }
      - spacing: { from: brace, is: 80 }
  brace:
    section: leg
    points: [[0, 0, 0], [200, 0, 0], [200, 300, 0], [200, 300, 300]]
    clr: [90, 1.5D]
    up: [0, 0, 1]
  offset:
    section: leg
    start: { at: [0, 900, 0], heading: [1, 0, 0], up: [0, 0, 1] }
    run:
      - straight: { between: [10, 400] }
      - bend: { clr: 90, angle: { solve: a, one-of: [30, 45] }, toward: { near: left } }
      - straight: { solve: s, near: 120 }
      - bend: { clr: 90, angle: solve a, plane-of-bend: solve }
      - straight: solve s
      - bend: { clr: 90, angle: 30, toward: up, measured: { clr: 89.5, angle: 29.4 } }
    goal:
      - { on-point: [300, 960, 0], after: 3 }
      - { on-line: { at: [0, 0, 0], direction: [1, 0, 0] }, in-plane: { at: [0, 0, 0], normal: [0, 0, 1] }, up: [0, 0, 1] }
      - { on-axis-of: { member: brace, straight: 2 }, parallel-to: brace, heading: [1, 0, 0], developed-length: 900 }
      - { angle-to: { member: brace, straight: 1, is: 45 }, spacing: { from: brace, straight: 3, is: 10 } }
  frame-rail: { section: frame, start: { heading: [1, 0, 0] }, run: [{ straight: 2ft }, { taper: { to: post, length: 80, offset: [1, 2], measured: { length: 81 } } }] }
  flue: { section: leg, start: { heading: [0, 0, 1] }, run: [{ elbow: { clr: 190, angle: 45, toward: up, pieces: 3, gap: 1 } }] }
  leg-left: { section: leg, points: [[-100, 0, 0], [-400, 0, 0], [-400, 0, 300]], clr: 3in }
  leg-right: { mirror: leg-left, across: { at: [0, 0, 0], normal: [2, 0, 0] }, measured: [{ bend: 1, clr: 76, angle: 89.5 }] }
joints:
  - cope: { branch: brace.end, run: [trunk, frame-rail], gap: 0.5, shrink: 0.3, open: true }
  - miter: { name: corner, ends: [brace.start, frame-rail.start], gap: 0, plane: { at: [0, 0, 0], normal: [0, 0, 1] } }
  - merge: { legs: [leg-left.end, leg-right.end], trunk: trunk.start, gap: 0 }
  - trim: { end: leg-left.start, into-bend: 37, bend: 1 }
  - trim: { end: frame-rail.end, at: 30, miter: 30, long-point: right }
openings:
  tap: { on: brace, at: 90, toward: right, lean: 20, round: 12 }
  window: { on: brace, at: 60, toward: up, rectangle: [30, 20], corner: 3 }
  slot: { on: brace, at: 120, toward: 45, slot: [30, 8] }
tools:
  - saw-guide: { end: frame-rail.end, saw: chop-saw, name: my-guide, datum: end, grip: 60 }
  - marking-gauge: brace.end
  - notch-collar: { end: brace.end, surface: inner, parts: 2 }
  - segment-guide: { elbow: flue, number: 1, saw: bandsaw, grip: 50, name: gores }
  - opening-gauge: { opening: tap, datum: mark, name: tap-gauge }
  - fit-up-cradle: { name: jig, joint: corner, up: [0, 0, 1], heat: 20, saddle: 24, base: plate, height: 80, stations: { brace: [40] } }
  - fit-up-cradle: { joints: [corner] }
  - fit-up-cradle: { members: [brace, trunk] }
  - fit-up-cradle: { all: true }
  - auto
stock:
  leg: { lengths: [6000, 3000], on-hand: [{ length: 6000, count: 2 }, { length: 1450 }], bends: [{ clr: 1.5D, angle: 90, legs: [100, 4in], on-hand: 3 }, { clr: 90, angle: 45, legs: 50 }], saw: chop-saw, square-end: 5, trim: 1, grip: 60 }
  frame: { lengths: 20ft }
keep-out:
  locker: { box: { from: [900, 900, 900], to: [1000, 1000, 1000] }, clearance: 10 }
  drum: { box: { at: [900, 900, 0], size: [100, 50, 50], heading: [1, 1, 0], up: [0, 0, 1] } }
  pipe: { cylinder: { from: [900, 0, 0], to: [900, 0, 600], od: 60 }, clearance: 1/2in }
  floor: { plane: { at: [0, 0, -500], normal: [0, 0, 1] } }
clearance: 2
heat: { rise: 60 }
variants:
  small: { sections.leg.od: 60, members.brace.points.1.0: 190 }
  plain: {}
`;
