import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { centerlineFrom } from '../../src/geometry/centerline.ts';
import type { SweptSolid } from '../../src/geometry/distance.ts';
import { frameFrom } from '../../src/geometry/frame.ts';
import { traceFirst } from '../../src/geometry/trace.ts';
import { along, unit, type Vec3 } from '../../src/geometry/vector.ts';
import { stopDistance } from '../../src/solve/generator.ts';
import type { Stop } from '../../src/solve/solution.ts';
import { firstEntry, type Ray } from '../../src/solve/straight-entry.ts';

const REACH = 1500;

const number = (min: number, max: number) => fc.double({ min, max, noNaN: true, noDefaultInfinity: true });
const place = (most: number) => fc.tuple(number(-most, most), number(-most, most), number(-most, most));
const direction = place(1).filter((v) => Math.hypot(...v) > 0.1);
const up: Vec3 = [0.36, 0.48, 0.8];

/** A bent tube, perhaps cut off by a plane, with a gap round it. */
const tubeStop = fc
  .record({
    od: number(8, 120),
    at: place(80),
    heading: direction,
    straights: fc.tuple(number(50, 900), number(50, 900)),
    bend: fc.record({ over: number(1, 4), angle: number(10, 150), toward: number(0, 360) }),
    gap: number(0, 3),
    clip: fc.option(fc.record({ point: place(60), normal: direction }), { nil: undefined }),
  })
  .map((t): Stop => {
    const section = { kind: 'round', od: t.od, wall: 1 } as const;
    const centerline = centerlineFrom(frameFrom(t.at, unit(t.heading), up), [
      { kind: 'straight', length: t.straights[0] },
      { kind: 'bend', clr: t.od * t.bend.over, bendAngleDeg: t.bend.angle, towardDeg: t.bend.toward },
      { kind: 'straight', length: t.straights[1] },
    ]);
    const clips = t.clip ? { clips: [{ point: t.clip.point, normal: unit(t.clip.normal) }] } : {};
    const solid: SweptSolid = { section, centerline, ...clips };
    return { kind: 'solid', id: 'run', solid, gap: t.gap };
  });
const planeStop = fc
  .record({ point: place(150), normal: direction })
  .map((p): Stop => ({ kind: 'plane', id: 'cut', point: p.point, normal: unit(p.normal) }));
/** From far away toward the middle of things. */
const ray = fc
  .record({ out: direction, aim: place(150) })
  .map(({ out, aim }): Ray => ({ from: along(aim, unit(out), 600), heading: unit([-out[0], -out[1], -out[2]]) }));

describe('where a straight generator is cut, in closed form', () => {
  // Two methods: sphere tracing of the same distances knows nothing of quadratics.
  it('agrees with the trace to 1e-8 mm on random bent, clipped tubes and planes', () => {
    let solved = 0;
    fc.assert(
      fc.property(fc.array(fc.oneof(tubeStop, planeStop), { minLength: 1, maxLength: 2 }), ray, (stops, line) => {
        const entry = firstEntry(stops, line, REACH);
        if (!entry) return;
        solved++;
        const distanceAt = (t: number): number =>
          Math.min(...stops.map((stop) => stopDistance(stop, along(line.from, line.heading, t))));
        const hit = traceFirst(distanceAt, { from: 0, to: REACH, speed: 1 });
        expect(hit.kind).toBe('hit');
        if (hit.kind === 'hit') expect(Math.abs(hit.t - entry.t)).toBeLessThan(1e-8);
        expect(Math.abs(stopDistance(stops[entry.stop]!, along(line.from, line.heading, entry.t)))).toBeLessThan(1e-8);
      }),
      { numRuns: 4000, seed: 7 },
    );
    // Most random lines miss or graze something; these did not.
    expect(solved).toBeGreaterThan(250);
  });
});
