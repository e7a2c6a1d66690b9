import { figure, type Problem } from '../job/problem.ts';
import type { CurveFault } from './cut-curve.ts';
import type { EndDefinition, Surface } from './solution.ts';

/** mm. A line of the tube that comes this near is taken for one that grazes. */
const GRAZE = 0.01;

/** Why an end has no whole cut: where the tube lies inside what should cut it, or on which side it passes beside it. */
export function faultProblem(
  definition: EndDefinition,
  found: { readonly surface: Surface; readonly faults: readonly CurveFault[]; readonly of: number },
): Problem {
  const { member, end, stops, path } = definition;
  const names = stops.map((stop) => `"${stop.id}"`).join(', ');
  const base = { severity: 'error', path, limit: 0 } as const;
  const first = found.faults[0]!;
  if (first.cut.kind === 'inside') {
    const where = `at ${figure(first.u * 360)} deg round from the witness line`;
    return {
      ...base,
      code: 'joint/starts-inside',
      message: `"${member.name}" never leaves ${names}: the tube lies inside what should cut its ${end} (${where})`,
      hint: `lengthen "${member.name}", or check which end the joint names`,
      measured: first.cut.depth,
    };
  }
  const off = found.faults.map(({ cut }) => (cut.kind === 'miss' ? cut.nearest : 0));
  const [least, most] = [Math.min(...off), Math.max(...off)];
  const surface = found.surface === 'inner' ? 'bore' : 'outside';
  if (found.faults.length === found.of) {
    return {
      ...base,
      code: 'joint/misses',
      message: `"${member.name}" never meets ${names}: past its ${end} it goes by, ${figure(least)} mm away at the nearest`,
      hint: `aim the centerline of "${member.name}" at ${names}, or check which end the joint names`,
      measured: least,
    };
  }
  const share = Math.max(1, Math.round((100 * found.faults.length) / found.of));
  const side = sideOf(found.faults.map(({ u }) => u));
  const several = stops.length > 1 ? '' : `, name all it should meet (run: [${stops[0]?.id}, ...])`;
  return {
    ...base,
    code: least < GRAZE ? 'joint/grazes' : 'joint/misses',
    message: `the ${end} of "${member.name}" is not cut all round: on ${share} % of its ${surface}, ${side.told}, it goes by ${names}, up to ${figure(most)} mm away`,
    hint: `move "${member.name}" ${figure(most)} mm to its side at ${figure(side.across)} deg${several}, or take a smaller tube`,
    measured: most,
  };
}

/** The stretch of the outline that holds places of it, in degrees from the witness line, and the side across from its middle. */
function sideOf(us: readonly number[]): { readonly told: string; readonly across: number } {
  const sorted = [...us].sort((a, b) => a - b);
  const gaps = sorted.map((u, i) => (sorted[i + 1] ?? sorted[0]! + 1) - u);
  const widest = gaps.indexOf(Math.max(...gaps));
  const from = sorted[(widest + 1) % sorted.length]!;
  const to = sorted[widest]!;
  const wide = (to - from + 1) % 1;
  const deg = (u: number): number => Math.round((u % 1) * 360) % 360;
  const told = wide < 1 / 720 ? `at ${deg(from)} deg` : `from ${deg(from)} to ${deg(to)} deg`;
  return { told: `${told} round from the witness line`, across: deg(from + wide / 2 + 0.5) };
}
