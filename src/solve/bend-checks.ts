import type { BendSegment } from '../geometry/centerline.ts';
import { SAME_PLACE } from '../geometry/tolerance.ts';
import type { Mm } from '../geometry/vector.ts';
import { acrossSection, tightProblem } from '../job/bend-spec.ts';
import type { Bender, Job } from '../job/job.ts';
import type { JobPath, Problem } from '../job/problem.ts';
import { lengthText, quoted } from '../job/wording.ts';
import type { Member } from './solution.ts';

/** What the shop's bender cannot do with a member as laid out, and corners tighter than the tube where it turns. */
export function bendProblems({ shop, units }: Job, member: Member): readonly Problem[] {
  const context = { member, units };
  return [
    ...(shop.bender ? [...gripProblems(shop.bender, context), ...dieProblems(shop.bender, context)] : []),
    ...foldedCorners(context),
  ];
}

interface Context {
  readonly member: Member;
  readonly units: 'mm' | 'in';
}

/** A bend of a member, counted from 1, with the place in the file it comes from. */
interface Bend {
  readonly segment: BendSegment;
  readonly no: number;
  readonly path: JobPath;
}

function bendsOf({ spec, centerline }: Member): readonly Bend[] {
  const items = spec.kind === 'run' ? spec.run.filter((item) => item.kind === 'bend') : [];
  return centerline.segments
    .filter((segment) => segment.kind === 'bend')
    .map((segment, i) => ({
      segment,
      no: i + 1,
      path: items[i]?.path ?? (spec.kind === 'points' ? [...spec.path, 'points', i + 1] : spec.path),
    }));
}

/** One straight of the tube that is put into the bender; welds of an elbow end the tube. */
interface Held {
  readonly where: 'first' | 'between' | 'last';
  readonly told: string;
  readonly length: Mm;
  readonly path: JobPath;
}

function straightsHeld(member: Member): readonly Held[] {
  const bends = bendsOf(member);
  return bends.flatMap(({ segment, no, path }, i): Held[] => {
    if (segment.elbow) return [];
    const [before, after] = [bends[i - 1]?.segment, bends[i + 1]?.segment];
    const from = before ? before.s0 + before.length : 0;
    const past = segment.s0 + segment.length;
    const to = after ? after.s0 : member.centerline.length;
    return [
      before && !before.elbow
        ? { where: 'between', told: `between bends ${no - 1} and ${no}`, length: segment.s0 - from, path }
        : { where: 'first', told: `before bend ${no}`, length: segment.s0 - from, path },
      ...(after && !after.elbow
        ? []
        : [{ where: 'last', told: `behind bend ${no}`, length: to - past, path } as const]),
    ];
  });
}

/** Straights too short to hold: between bends it cannot be made; at an end there may be more tube, cut off afterwards. */
function gripProblems(bender: Bender, { member, units }: Context): readonly Problem[] {
  return straightsHeld(member).flatMap(({ where, told, length, path }): Problem[] => {
    const limit = bender[where];
    if (limit === undefined || length >= limit - SAME_PLACE) return [];
    const short = lengthText(limit - length, units);
    return [
      {
        code: 'bend/grip',
        severity: where === 'between' ? 'error' : 'warning',
        path,
        message: `the straight ${told} of ${quoted(member.name)} is ${lengthText(length, units)}; the bender needs ${lengthText(limit, units)}`,
        hint:
          where === 'between'
            ? `lengthen it by ${short}, or join two tubes there`
            : `leave ${short} more on the raw tube, and cut it off after bending`,
        measured: length,
        limit,
      },
    ];
  });
}

/** What was asked of the bender counts, not what came out. */
function dieProblems({ clr: limit }: Bender, { member, units }: Context): readonly Problem[] {
  if (limit === undefined) return [];
  return bendsOf(member).flatMap(({ segment, no, path }): Problem[] => {
    const clr = segment.nominal?.clr ?? segment.clr;
    if (segment.elbow || clr >= limit - SAME_PLACE) return [];
    return [
      {
        code: 'bend/tighter-than-bender',
        severity: 'error',
        path,
        message: `clr of bend ${no} of ${quoted(member.name)} is ${lengthText(clr, units)}; the bender makes no less than ${lengthText(limit, units)}`,
        hint: `write a clr of ${lengthText(limit, units)} or more, or buy the bend`,
        measured: clr,
        limit,
      },
    ];
  });
}

/** Which way a corner of points, or a bend whose side was to solve, turns in the section is known only now. */
function foldedCorners({ member, units }: Context): readonly Problem[] {
  const { spec, nominal, name } = member;
  if (spec.kind === 'mirror' || nominal.kind === 'round') return [];
  const open = spec.kind === 'points' || spec.run.some((x) => x.kind === 'bend' && typeof x.toward.deg !== 'number');
  if (!open) return [];
  return bendsOf(member).flatMap(({ segment: { clr, towardDeg, elbow }, path }) => {
    const half = acrossSection(nominal, towardDeg) / 2;
    const kind = elbow ? 'elbow' : 'bend';
    return clr >= half - SAME_PLACE ? [] : [tightProblem({ clr, half, name, units, kind, path })];
  });
}
