import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { boundsOfLoops, loopArea, loopPoints } from '../../src/geometry/flat-path.ts';
import { frameFrom, toLocal } from '../../src/geometry/frame.ts';
import { piercedLoop } from '../../src/geometry/pierced.ts';
import { place, placementFrom } from '../../src/geometry/placement.ts';
import { areaInside, type Section, sectionDistance } from '../../src/geometry/section.ts';
import { along } from '../../src/geometry/vector.ts';
import { example, made, tried } from '../support/tools.ts';

const SECTIONS: readonly Section[] = [
  { kind: 'round', od: 40, wall: 2 },
  { kind: 'flat-oval', width: 80, height: 40, wall: 2 },
  { kind: 'ellipse', width: 80, height: 50, wall: 2 },
  { kind: 'rectangle', width: 60, height: 30, wall: 3, cornerRadius: 6 },
  { kind: 'rectangle', width: 60, height: 30, wall: 3, cornerRadius: 0 },
];
const FLAT = placementFrom([0, 0, 0], [0, 0, 1], [1, 0, 0]);

describe('the hole a tube needs in a plate', () => {
  test.each(SECTIONS)('square to the plate it is the section with room: $kind', (section) => {
    const frame = frameFrom([5, -3, 20], [0, 0, 1], [0, 1, 0]);
    const grown = piercedLoop({ section, frame }, FLAT, { grow: 0.3, thickness: 6 });
    // Steiner's formula for the parallel curve of a convex outline.
    expect(Math.abs(loopArea(grown) - areaInside(section, -0.3))).toBeLessThan(section.kind === 'ellipse' ? 0.3 : 1e-3);
    if (section.kind === 'round') expect(grown).toMatchObject({ kind: 'circle', radius: expect.closeTo(20.3, 9) });
    if (section.kind === 'flat-oval') expect(grown).toMatchObject({ corners: { length: 4 } });
  });

  test('leaning 45 deg, a round tube needs the ellipse of its radius and root two times it: area pi a b', () => {
    const frame = frameFrom([0, 0, 0], [1, 0, 1], [0, 1, 0]);
    const loop = piercedLoop({ section: SECTIONS[0]!, frame }, FLAT, { grow: 0, thickness: 0 });
    expect(Math.abs(loopArea(loop) - Math.PI * 20 * 20 * Math.SQRT2)).toBeLessThan(0.1);
    // A plate of thickness t shifts the ellipse by t tan 45 from face to face: t times its width more area.
    const thick = piercedLoop({ section: SECTIONS[0]!, frame }, FLAT, { grow: 0, thickness: 6 });
    expect(loopArea(thick) - loopArea(loop)).toBeCloseTo(6 * 40, 6);
  });

  test('touches the tube with its room and nowhere cuts into it, through the whole thickness, at any lean', () => {
    const direction = fc.tuple(
      fc.double({ min: -1.2, max: 1.2, noNaN: true }),
      fc.double({ min: -1.2, max: 1.2, noNaN: true }),
    );
    fc.assert(
      fc.property(
        fc.constantFrom(...SECTIONS),
        direction,
        fc.double({ min: 0, max: 360, noNaN: true }),
        fc.double({ min: 0.5, max: 12, noNaN: true }),
        (section, [x, y], roll, thickness) => {
          const up = [Math.cos(roll), Math.sin(roll), 0.3] as const;
          const frame = frameFrom([3, 4, 5], [x, y, 1], up);
          const loop = piercedLoop({ section, frame }, FLAT, { grow: 0.4, thickness });
          for (const [px, py] of loopPoints(loop, 0.01)) {
            // Least distance from the tube over the thickness: the distance is convex along the plate's normal.
            const off = (h: number): number => {
              const [a, b] = toLocal(frame, along(place(FLAT, [px, py, 0]), FLAT.z, h));
              return sectionDistance(section, a, b) - 0.4;
            };
            let [low, high] = [-thickness / 2, thickness / 2];
            for (let i = 0; i < 60; i++) {
              const [p, q] = [low + (high - low) / 3, high - (high - low) / 3];
              if (off(p) < off(q)) high = q;
              else low = p;
            }
            expect(Math.abs(off((low + high) / 2))).toBeLessThan(0.02);
          }
        },
      ),
      { numRuns: 30 },
    );
  });
});

const job = (plates: string): string => `
job: t
sections:
  tube: { kind: round, od: 40, wall: 2 }
  oval: { kind: flat-oval, width: 80, height: 40, wall: 2 }
  wide: { kind: round, od: 60, wall: 2 }
members:
  post: { section: tube, points: [[0, 0, 0], [0, 0, 400]] }
  beam: { section: tube, points: [[0, 0, 400], [300, 0, 400]] }
  far: { section: tube, points: [[0, 200, 400], [0, 300, 400]] }
  skew: { section: tube, points: [[0, 200, 380], [0, 300, 380]] }
  hook: { section: tube, points: [[500, 0, 0], [500, 0, 200], [600, 0, 200]], clr: 60 }
  duct: { section: oval, start: { at: [900, 0, 0], heading: [0, 0, 1], up: [0, 1, 0] }, run: [{ straight: 300 }] }
  cone: { section: tube, start: { at: [1400, 0, 0], heading: [0, 0, 1], up: [0, 1, 0] }, run: [{ straight: 100 }, { taper: { to: wide, length: 100 } }, { straight: 100 }] }
joints: [{ trim: { end: duct.end, at: 250, miter: 30, long-point: up } }]
plates: { p: { ${plates}, thickness: 5 } }
tools: []
`;
const one = (plates: string) => made(job(plates)).solution.plates[0]!;
const codes = (plates: string): readonly string[] =>
  [...new Set(tried(job(plates)).problems.map(({ code }) => code))].filter((code) => !code.startsWith('layout/'));

describe('plates', () => {
  test('a spacer keeps the solved center distance, in its own x and y', () => {
    const { holes } = one('through: { members: [post, duct], plane: { at: [100, 0, 100], normal: [0, 0, 1] } }');
    expect(holes.map((hole) => hole.middle)).toEqual([
      [-100, 0],
      [800, 0],
    ]);
  });

  test('a hole that runs over the edge, or into another, is refused with what is left', () => {
    const through = (outline: string, hole: string): string =>
      `through: { members: [post], plane: { at: [0, 0, 100], normal: [0, 0, 1] }, outline: ${outline}, holes: [{ at: ${hole}, hole: 8 }] }`;
    expect(codes(through('{ margin: 30 }', '[35, 35]'))).toEqual([]);
    expect(codes(through('{ margin: 30 }', '[47, 0]'))).toEqual(['plate/thin']);
    expect(codes(through('{ margin: 30 }', '[60, 0]'))).toEqual(['plate/thin']);
    expect(codes(through('{ margin: 30 }', '[24, 0]'))).toEqual(['plate/thin']);
    expect(codes(through('{ margin: 30 }', '[0, 0]'))).toEqual(['plate/thin']);
    expect(codes(through('{ round: 60 }', '[0, 25]'))).toEqual(['plate/thin']);
  });

  test('of holes that run into the tube and out over the edge the worst is told, with how deep, and how many more', () => {
    // Middles 5 outside a tube with 0.3 of room, radius 7: 2.3 into it; the edge is 4 outside, so 8 beyond.
    const told = tried(job('flange: { end: post.end, margin: 4, bolts: { count: 5, hole: 14, out: 5 } }')).problems;
    const thin = told.filter(({ code }) => code === 'plate/thin');
    expect(thin.map(({ message }) => message.replace(/bolt \d/g, 'bolt').replace(/\d+\.\d+ mm/g, 'x mm'))).toEqual([
      'plate "p": post runs x mm into bolt; in 4 more places too little is left',
      'plate "p": bolt runs x mm out over the edge; in 4 more places too little is left',
    ]);
    expect(thin.map(({ measured }) => Math.round(measured! * 10) / 10)).toEqual([-2.3, -8]);
  });

  test('a member that does not pass, passes in a bend or lies too flat is named', () => {
    const through = (member: string, at: string, normal: string): string =>
      `through: { members: [${member}], plane: { at: ${at}, normal: ${normal} } }`;
    expect(codes(through('post', '[0, 0, 500]', '[0, 0, 1]'))).toEqual(['plate/misses']);
    expect(codes(through('hook', '[0, 0, 160]', '[0, 0, 1]'))).toEqual(['plate/in-bend']);
    expect(codes(through('post', '[0, 0, 100]', '[1, 0, 0.1]'))).toEqual(['plate/too-flat']);
    expect(codes(through('nobody', '[0, 0, 100]', '[0, 0, 1]'))).toEqual(['reference/unknown']);
  });

  test('on a taper that stands square to it the hole is that of its larger face', () => {
    const across = (member: string, at: string): number => {
      const { holes } = one(`through: { members: [${member}], plane: { at: ${at}, normal: [0, 0, 1] } }`);
      const { min, max } = boundsOfLoops([holes[0]!.loop]);
      return max[0] - min[0];
    };
    // od grows by 0.2 mm a mm: halfway it is 50 mm, and half of 5 mm farther 50.5 mm.
    const room = across('post', '[0, 0, 100]') - 40;
    expect(across('cone', '[1400, 0, 150]') - room).toBeCloseTo(50.5, 6);
    const aslant = 'through: { members: [cone], plane: { at: [1400, 0, 150], normal: [0.1, 0, 1] } }';
    expect(codes(aslant)).toEqual(['plate/in-bend']);
  });

  test('a flange on a mitered oval has the oblique bore and its bolts evenly spaced outside the tube', () => {
    const plate = one('flange: { end: duct.end, fit: on, margin: 30, bolts: { count: 6, hole: 9, out: 15 } }');
    const [bore, ...bolts] = plate.holes;
    const section: Section = { kind: 'flat-oval', width: 80, height: 40, wall: 2 };
    expect(Math.abs(loopArea(bore!.loop) - areaInside(section, 2) / Math.cos(Math.PI / 6))).toBeLessThan(0.2);
    expect(bore!.leanDeg).toBeCloseTo(30, 9);
    expect(bolts).toHaveLength(6);
    // The first stands at the witness line's side: straight up in the plate.
    expect(Math.abs(bolts[0]!.middle[0])).toBeLessThan(1e-3);
    expect(bolts[0]!.middle[1]).toBeCloseTo(35 / Math.cos(Math.PI / 6), 2);
    const gaps = bolts.map(({ middle }, i) => {
      const next = bolts[(i + 1) % 6]!.middle;
      return Math.hypot(next[0] - middle[0], next[1] - middle[1]);
    });
    expect(Math.max(...gaps)).toBeLessThan(1.35 * Math.min(...gaps));
  });

  test('a gusset lies along both tubes: each edge its gap off the crown', () => {
    const { outline, at } = one('gusset: { between: [post, beam], legs: [120, 90], gap: 1 }');
    const points = loopPoints(outline, 0.01).map(([x, y]) => place(at, [x, y, 0]));
    expect(Math.min(...points.map(([x]) => x))).toBeCloseTo(21, 9);
    expect(Math.max(...points.map(([, , z]) => z))).toBeCloseTo(379, 9);
    expect(Math.min(...points.map(([, , z]) => z))).toBeCloseTo(379 - 120, 9);
    expect(Math.max(...points.map(([x]) => x))).toBeCloseTo(21 + 90, 9);
    expect(Math.max(...points.map(([, y]) => Math.abs(y)))).toBeLessThan(1e-9);
    expect(codes('gusset: { between: [post, far], legs: 60 }')).toEqual(['plate/misses']);
    expect(codes('gusset: { between: [beam, skew], legs: 60 }')).toEqual(['plate/not-flat']);
    expect(codes('gusset: { between: [post, duct], legs: 60 }')).toEqual(['plate/not-flat']);
    expect(codes('gusset: { between: [post, beam], legs: 15 }')).toEqual(['plate/thin']);
  });

  test('fillers have the area that the throat report finds open, on a grid, and are as symmetric as the merge', () => {
    const { solution } = made(example('dust-wye'));
    const fillers = solution.plates.filter(({ spec }) => spec.kind === 'filler');
    const open = solution.merges[0]!.cusps.reduce((sum, { area }) => sum + area, 0);
    const areas = fillers.map(({ outline }) => loopArea(outline));
    expect(areas).toHaveLength(4);
    expect(Math.abs(areas.reduce((sum, area) => sum + area, 0) - open)).toBeLessThan(0.02 * open);
    expect(Math.max(...areas) - Math.min(...areas)).toBeLessThan(0.02);
    expect(codes('filler: nothing')).toEqual(['reference/unknown']);
  });
});
