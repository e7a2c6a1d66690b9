import fc from 'fast-check';
import { type Section, sectionHeight, sectionReach, sectionWidth } from '../../src/geometry/section.ts';
import type { Mm, Vec3 } from '../../src/geometry/vector.ts';
import type { Job } from '../../src/job/job.ts';
import type { Motion } from '../support/jobs.ts';
import { barTube, cope, ellipse, jobOf, oval, rectangle, round } from '../support/jobs.ts';

/** One seed for all, so that a red run is red again. */
export const SEED = 20_240_611;

/** Shrinking a job of a dozen numbers takes longer than reading it. */
export const runs = (numRuns: number) => ({ seed: SEED, numRuns, endOnFailure: true });

/** Numbers on a fine grid: they shrink to something readable, and hold no denormals. */
export const between = (min: number, max: number): fc.Arbitrary<number> =>
  fc.integer({ min: 0, max: 1_000_003 }).map((k) => min + ((max - min) * k) / 1_000_003);

/** A direction, evenly enough. */
export const direction: fc.Arbitrary<Vec3> = fc
  .tuple(between(-1, 1), between(0, 2 * Math.PI))
  .map(([z, t]): Vec3 => [Math.sqrt(1 - z * z) * Math.cos(t), Math.sqrt(1 - z * z) * Math.sin(t), z]);

export const motion: fc.Arbitrary<Motion> = fc.record({
  axis: direction,
  deg: between(0, 360),
  shift: fc.tuple(between(-500, 500), between(-500, 500), between(-500, 500)),
  factor: fc.constant(1),
});

/** A section about `size` large, of any kind and either way up. */
export const sectionOf = (size: Mm): fc.Arbitrary<Section> =>
  fc
    .record({
      kind: fc.constantFrom('round', 'flat-oval', 'ellipse', 'rectangle' as const),
      flat: between(0.5, 0.95),
      tall: fc.boolean(),
      corner: between(0, 0.4),
      wall: between(0.02, 0.06),
    })
    .map(({ kind, flat, tall, corner, wall }) => {
      const [width, height] = tall ? [size * flat, size] : [size, size * flat];
      const thick = wall * size;
      if (kind === 'round') return round(size, thick);
      if (kind === 'flat-oval') return oval(width, height, thick);
      if (kind === 'ellipse') return ellipse(width, height, thick);
      // Sharp, or rounded as drawn tube is; never a corner too small to measure.
      return rectangle(width, height, corner < 0.03 ? 0 : corner * size * flat, thick);
    });

export interface RandomCope {
  readonly job: Job;
  readonly branch: Section;
  readonly run: Section;
}

/** A branch that meets a straight run all round, at any angle from 35 deg, offset and turned about both axes. */
export const randomCope: fc.Arbitrary<RandomCope> = fc
  .record({
    branch: sectionOf(40),
    run: sectionOf(100),
    angleDeg: between(35, 90),
    side: between(-1, 1),
    spin: between(0, 360),
    runSpin: between(0, 360),
    gap: fc.constantFrom(0, 0, 1.2),
  })
  .map(({ branch, run, angleDeg, side, spin, runSpin, gap }) => {
    const b = (angleDeg * Math.PI) / 180;
    const out: Vec3 = [Math.cos(b), 0, Math.sin(b)];
    // What is left between the branch and the run's inscribed circle.
    const room = Math.min(sectionWidth(run), sectionHeight(run)) / 2 - sectionReach(branch) - 0.5;
    const offset = Math.max(0, room) * side;
    const around = (deg: number, p: Vec3, q: Vec3): Vec3 => {
      const [c, s] = [Math.cos((deg * Math.PI) / 180), Math.sin((deg * Math.PI) / 180)];
      return [p[0] * c + q[0] * s, p[1] * c + q[1] * s, p[2] * c + q[2] * s];
    };
    const acute: Vec3 = [Math.sin(b), 0, -Math.cos(b)];
    const from: Vec3 = [300 * out[0], offset, 300 * out[2]];
    const job = jobOf(
      [
        barTube('run', run, { from: [-500, 0, 0], to: [500, 0, 0], up: around(runSpin, [0, 0, 1], [0, 1, 0]) }),
        barTube('branch', branch, { from, to: [0, offset, 0], up: around(spin, acute, [0, 1, 0]) }),
      ],
      [cope('branch.end', ['run'], gap)],
    );
    return { job, branch, run };
  });
