import { describe, expect, test } from 'vitest';
import { canWrap } from '../../src/export/wrap-taper.ts';
import { wrapTemplate } from '../../src/export/wrap-template.ts';
import { generatorOf } from '../../src/geometry/tube-shape.ts';
import { distance, type Vec2 } from '../../src/geometry/vector.ts';
import { cutOf, jobOf, oval, rectangle, round, runTube, solved, straight, taper, trim } from '../support/jobs.ts';
import { worst } from '../support/measure.ts';

describe('a wrap template of a cut in a cone', () => {
  // Radius 40 falls by 15 over 36: slant 39, apex 104 from the base line along the slant, sine of the half angle 15/39.
  const solution = solved(
    jobOf(
      [runTube('m', round(80), { run: [straight(30), taper(round(80), round(50), 36)] })],
      [trim('m.end', { kind: 'at', distance: 48 }, { miterDeg: 12, longPointDeg: 0 })],
    ),
  );
  const end = cutOf(solution, 'm.end');
  const template = wrapTemplate(end, { solution });
  const pattern = template.taper!;

  test('is a sector of a ring: its base line stands everywhere as far from the apex, and turns by 2 pi sin', () => {
    const [foot, head] = pattern.witness[2]!;
    const long = Math.hypot(head[0] - foot[0], head[1] - foot[1]);
    const apex: Vec2 = [foot[0] + ((head[0] - foot[0]) / long) * 104, foot[1] + ((head[1] - foot[1]) / long) * 104];
    const pairs = pattern.base.map(([x, y]): [number, number] => [104, Math.hypot(x - apex[0], y - apex[1])]);
    expect(worst('base', pairs)).toBeLessThan(0.001);
    const turn = (p: Vec2): number => Math.atan2(p[0] - apex[0], apex[1] - p[1]);
    const whole = turn(pattern.base.at(-1)!) - turn(pattern.base[0]!);
    expect(Math.abs(whole + 0 - 2 * Math.PI * (15 / 39)) % (2 * Math.PI)).toBeLessThan(1e-4);
  });

  test('carries the cut at its distance from the apex on every ruling (Apostol and Mnatsakanian 2007)', () => {
    const [foot, head] = pattern.witness[2]!;
    const long = Math.hypot(head[0] - foot[0], head[1] - foot[1]);
    const apex: Vec2 = [foot[0] + ((head[0] - foot[0]) / long) * 104, foot[1] + ((head[1] - foot[1]) / long) * 104];
    const pairs = end.curves.outer.samples.map(({ s }, i): [number, number] => {
      const [x, y] = pattern.outer[i]!;
      return [104 - ((s - 30) * 39) / 36, Math.hypot(x - apex[0], y - apex[1])];
    });
    expect(worst('cut', pairs)).toBeLessThan(0.001);
  });
});

test.each([
  ['round to flat oval', round(80), oval(110, 50)],
  ['rectangle to round', rectangle(90, 60, 5), round(70)],
])('a pattern of %s is as long along its cut and its base line as they are on the tube', (_, from, to) => {
  const solution = solved(
    jobOf(
      [runTube('m', from, { run: [straight(30), taper(from, to, 80)] })],
      [trim('m.end', { kind: 'at', distance: 75 }, { miterDeg: 10, longPointDeg: 40 })],
    ),
  );
  const end = cutOf(solution, 'm.end');
  const template = wrapTemplate(end, { solution });
  const flat = (points: readonly Vec2[]): number =>
    points.slice(1).reduce((sum, [x, y], i) => sum + Math.hypot(x - points[i]![0], y - points[i]![1]), 0);
  const { samples } = end.curves.outer;
  const solid = samples.reduce(
    (sum, { point }, i) => sum + distance(point, samples[(i + 1) % samples.length]!.point),
    0,
  );
  // Chords between samples are shorter through the tube than on its side.
  expect(Math.abs(flat(template.taper!.outer) - solid)).toBeLessThan(0.03);
  const around = Array.from({ length: 4001 }, (_, i) =>
    generatorOf(end.member, (i / 4000) % 1).pointAt(template.base.s),
  );
  const base = around.slice(1).reduce((sum, p, i) => sum + distance(p, around[i]!), 0);
  expect(Math.abs(flat(template.taper!.base) - base)).toBeLessThan(0.01);
});

test('a cut that runs over the end of a taper has no template', () => {
  const solution = solved(
    jobOf(
      [runTube('m', round(80), { run: [straight(30), taper(round(80), round(50), 60), straight(40)] })],
      [trim('m.end', { kind: 'at', distance: 32 }, { miterDeg: 20, longPointDeg: 0 })],
    ),
  );
  expect(canWrap(cutOf(solution, 'm.end'))).toBe(false);
});
