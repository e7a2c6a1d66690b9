import { solidDistance } from '../geometry/distance.ts';
import { moveFrame, toWorld } from '../geometry/frame.ts';
import { areaInside, sectionDistance, sectionHeight, sectionWidth } from '../geometry/section.ts';
import { sectionAt } from '../geometry/tube-shape.ts';
import { type Mm, scale, type Vec3 } from '../geometry/vector.ts';
import type { MergeJoint } from '../job/job.ts';
import { figure, type Problem } from '../job/problem.ts';
import { type DrawnEnd, drawnEnd, type MemberLookup } from './joints/ends.ts';
import type { MergeReport } from './solution.ts';

/** Flow areas of a merge, and the part of the trunk's start that no leg covers, with the start that leaves the least. */
export function mergeReport(
  joint: MergeJoint,
  memberNamed: MemberLookup,
): readonly { readonly report: MergeReport; readonly problems: readonly Problem[] }[] {
  const legs = joint.legs.flatMap((ref) => drawnEnd(ref, memberNamed) ?? []);
  const trunk = drawnEnd(joint.trunk, memberNamed);
  if (!trunk || legs.length < joint.legs.length) return [];
  const bore = ({ member, s }: DrawnEnd): number => areaInside(sectionAt(member, s), sectionAt(member, s).wall);
  const legArea = legs.reduce((sum, leg) => sum + bore(leg), 0);
  const cusps = openAreas(trunk, legs, { shift: 0, cells: 240 }).filter((cusp) => cusp.area > 0.05);
  const open = cusps.reduce((sum, cusp) => sum + cusp.area, 0);
  const bestShift = open > 0 ? leastOpen(trunk, legs) : { shift: 0, area: 0 };
  const report: MergeReport = {
    joint: joint.name,
    legs: legs.map((leg) => leg.member.name),
    trunk: trunk.member.name,
    legArea,
    trunkArea: bore(trunk),
    ratio: bore(trunk) / legArea,
    cusps,
    bestShift,
  };
  return [{ report, problems: open > 0 ? [openThroat(joint, report, open)] : [] }];
}

const openThroat = (joint: MergeJoint, report: MergeReport, open: number): Problem => ({
  code: 'joint/open-throat',
  severity: 'warning',
  path: joint.path,
  message: `the legs of "${joint.name}" leave ${figure(open)} mm^2 open at the start of "${report.trunk}", its wall included, in ${report.cusps.length} place${report.cusps.length === 1 ? '' : 's'} (${report.cusps.map((cusp) => figure(cusp.area)).join(', ')} mm^2)`,
  hint:
    report.bestShift.area < open - 0.05
      ? `start "${report.trunk}" ${figure(Math.abs(report.bestShift.shift))} mm ${report.bestShift.shift > 0 ? 'later' : 'earlier'} along its axis: ${figure(report.bestShift.area)} mm^2 stays open`
      : 'close them with a flat filler, or bring the legs closer together',
  measured: open,
  limit: 0,
});

interface Cusp {
  readonly area: number;
  readonly at: Vec3;
}

/**
 * Areas inside the trunk's outline and outside every leg, in the trunk's start plane moved by `shift` into the trunk:
 * summed on a grid. A cell counts by what its part inside the trunk has over its part inside the legs, so that a leg which
 * shares the trunk's edge leaves nothing there.
 */
function openAreas(
  trunk: DrawnEnd,
  legs: readonly DrawnEnd[],
  grid: { readonly shift: Mm; readonly cells: number },
): readonly Cusp[] {
  const section = sectionAt(trunk.member, trunk.s);
  const frame = moveFrame(trunk.frame, scale(trunk.out, -grid.shift));
  const h = Math.max(sectionWidth(section), sectionHeight(section)) / grid.cells;
  const nx = Math.ceil(sectionWidth(section) / h) + 2;
  const ny = Math.ceil(sectionHeight(section) / h) + 2;
  const share = new Float64Array(nx * ny);
  const place = (i: number, j: number): readonly [Mm, Mm] => [(i + 0.5 - nx / 2) * h, (j + 0.5 - ny / 2) * h];
  for (let j = 0; j < ny; j++) {
    for (let i = 0; i < nx; i++) {
      const [a, b] = place(i, j);
      const inTrunk = sectionDistance(section, a, b);
      if (inTrunk > h) continue;
      const p = toWorld(frame, [a, b, 0]);
      // Two legs that face each other in one cell cover it together.
      let covered = 0;
      for (let k = 0; k < legs.length && covered < 1; k++) covered += within(solidDistance(legs[k]!.member, p) / h);
      share[j * nx + i] = Math.max(0, within(inTrunk / h) - covered);
    }
  }
  return patches(share, nx, ny)
    .map((patch) => {
      const area = patch.reduce((sum, k) => sum + share[k]!, 0) * h * h;
      const middle = patch.reduce<readonly [Mm, Mm]>(
        ([x, y], k) => {
          const [a, b] = place(k % nx, Math.floor(k / nx));
          return [x + (a * share[k]! * h * h) / area, y + (b * share[k]! * h * h) / area];
        },
        [0, 0],
      );
      return { area, at: toWorld(frame, [middle[0], middle[1], 0]) };
    })
    .sort((p, q) => q.area - p.area);
}

/** Part of a cell inside an edge, from the signed distance of its middle in cells. */
const within = (cells: number): number => Math.max(0, Math.min(1, 0.5 - cells));

/** Part of a cell below which it joins no neighbors: two cusps whose tips meet where legs touch are still two. */
const LEAST_SHARE = 0.02;

/** Groups of touching cells with anything in them. */
function patches(share: Float64Array, nx: number, ny: number): readonly (readonly number[])[] {
  const seen = new Uint8Array(share.length);
  const groups: number[][] = [];
  for (let k = 0; k < share.length; k++) {
    if (seen[k] || !(share[k]! > LEAST_SHARE)) continue;
    const group: number[] = [];
    const queue = [k];
    seen[k] = 1;
    for (let at = queue.pop(); at !== undefined; at = queue.pop()) {
      group.push(at);
      const i = at % nx;
      const j = Math.floor(at / nx);
      for (const [x, y] of [
        [i - 1, j],
        [i + 1, j],
        [i, j - 1],
        [i, j + 1],
      ] as const) {
        const next = y * nx + x;
        if (x < 0 || y < 0 || x >= nx || y >= ny || seen[next] || !(share[next]! > LEAST_SHARE)) continue;
        seen[next] = 1;
        queue.push(next);
      }
    }
    groups.push(group);
  }
  return groups;
}

/** Trunk start that leaves the least open, within one trunk width either way: scan, then golden section. */
function leastOpen(trunk: DrawnEnd, legs: readonly DrawnEnd[]): MergeReport['bestShift'] {
  const section = sectionAt(trunk.member, trunk.s);
  const span = Math.max(sectionWidth(section), sectionHeight(section));
  const area = (shift: Mm, cells: number): number =>
    openAreas(trunk, legs, { shift, cells }).reduce((sum, cusp) => sum + cusp.area, 0);
  const steps = 16;
  let best = 0;
  let least = Number.POSITIVE_INFINITY;
  for (let i = -steps; i <= steps; i++) {
    const shift = (i * span) / steps;
    const found = area(shift, 48);
    // Of equal areas the start nearest the drawn one wins.
    if (found < least - 1e-6 || (Math.abs(found - least) <= 1e-6 && Math.abs(shift) < Math.abs(best))) {
      least = found;
      best = shift;
    }
  }
  let low = best - span / steps;
  let high = best + span / steps;
  const g = (Math.sqrt(5) - 1) / 2;
  let [p, q] = [high - g * (high - low), low + g * (high - low)];
  let [atP, atQ] = [area(p, 96), area(q, 96)];
  for (let i = 0; i < 12; i++) {
    if (atP < atQ) {
      [high, q, atQ] = [q, p, atP];
      p = high - g * (high - low);
      atP = area(p, 96);
    } else {
      [low, p, atP] = [p, q, atQ];
      q = low + g * (high - low);
      atQ = area(q, 96);
    }
  }
  const fine = (low + high) / 2;
  const areas = [best, fine].map((shift) => ({ shift, area: area(shift, 240) }));
  return areas[1]!.area < areas[0]!.area - 0.01 ? areas[1]! : areas[0]!;
}
