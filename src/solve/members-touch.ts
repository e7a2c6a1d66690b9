import { besideCenterline } from '../geometry/distance.ts';
import { sectionHeight, sectionReach, sectionWidth } from '../geometry/section.ts';
import { MEMBERS_LAP } from '../geometry/tolerance.ts';
import type { Mm, Vec3 } from '../geometry/vector.ts';
import type { Job, JointSpec } from '../job/job.ts';
import { jointEnds } from '../job/joint-spec.ts';
import type { Problem } from '../job/problem.ts';
import { lengthText } from '../job/wording.ts';
import { type Chunk, chunkOf, chunksOf, type KeptTube, leastBetween, nearness } from './kept-tube.ts';
import { deepestPlace, type NearestPlace, nearestPlace, type Target } from './nearest-place.ts';
import type { Piece } from './solution.ts';

/** A piece with what is left of it. */
export interface KeptPiece {
  readonly piece: Piece;
  readonly tube: KeptTube;
}

/**
 * Members that run into each other, or come nearer than the job allows, where no joint is; and members that run into
 * themselves. Both tubes are taken as they are after all cuts; one that lies free in the bore of another does not touch it.
 * What a cope or a merge cuts was followed to its first contact, and needs no second look.
 */
export function touchProblems(job: Job, kept: readonly KeptPiece[]): readonly Problem[] {
  const relations = relationsOf(job.joints);
  const problems: Problem[] = [];
  kept.forEach((p, i) => {
    problems.push(...selfTouch(job, p));
    for (const q of kept.slice(i + 1)) {
      const relation = relations.get(pairKey(p.tube.name, q.tube.name)) ?? 'apart';
      if (relation !== 'cut') problems.push(...pairTouch(job, [p, q], relation === 'apart'));
    }
  });
  return problems;
}

const pairKey = (p: string, q: string): string => (p < q ? `${p} ${q}` : `${q} ${p}`);

/** How two members stand to each other: `cut` where one is cut to the other's body, `faces` where cut faces meet. */
function relationsOf(joints: readonly JointSpec[]): ReadonlyMap<string, 'cut' | 'faces'> {
  const relations = new Map<string, 'cut' | 'faces'>();
  for (const joint of joints) {
    const ends = jointEnds(joint).map(({ member }) => member);
    const others = joint.kind === 'cope' ? joint.runs.map(({ member }) => member) : ends;
    const how = joint.kind === 'cope' || joint.kind === 'merge' ? 'cut' : 'faces';
    for (const p of ends) {
      for (const q of others) {
        const key = pairKey(p, q);
        if (p !== q && relations.get(key) !== 'cut') relations.set(key, how);
      }
    }
  }
  return relations;
}

interface Contact extends NearestPlace {
  /** The tube whose outside the place is on, and the other. */
  readonly of: KeptPiece;
  readonly to: KeptPiece;
}

function pairTouch(job: Job, pair: readonly [KeptPiece, KeptPiece], unjoined: boolean): readonly Problem[] {
  const wanted = unjoined ? (job.clearance ?? 0) : 0;
  const lap = Math.min(MEMBERS_LAP, ...pair.map(({ tube }) => tube.section.wall / 4)) + shrinkBetween(job, pair);
  const below = wanted > 0 ? wanted - MEMBERS_LAP : -lap;
  const contact = nearest(pair, 'bar', below);
  if (!contact) return [];
  const place = contact.distance < -lap && mayNest(pair) ? nearest(pair, 'metal', below) : contact;
  if (!place) return [];
  if (place.distance >= -lap) return [tooNear(job, { contact: place, wanted })];
  return [overlap(job, deepest(contact))];
}

/** Reach of the search for the deepest place, in sizes of both tubes: they may lie in each other at a narrow angle. */
const LOOKED = 8;

/** The deepest place that either tube has in the other, about where they were found to run into each other. */
function deepest(contact: Contact): Contact {
  const reach = LOOKED * (sectionReach(contact.of.tube.section) + sectionReach(contact.to.tube.section));
  const sides = [
    [contact.of, contact.to],
    [contact.to, contact.of],
  ] as const;
  return sides.reduce<Contact>((best, [of, to]) => {
    const s =
      of === contact.of ? contact.s : besideCenterline(of.tube.line, of.tube.section, contact.at).s + of.tube.s0;
    const target = tubeTarget(to.tube, to.tube.chunks, 'bar');
    const found = deepestPlace(of.tube, { target, from: s - reach, to: s + reach, below: best.distance });
    return found && found.distance < best.distance ? { ...found, of, to } : best;
  }, contact);
}

/** Parts that a weld will draw together are cut to lap by that much. */
function shrinkBetween({ joints }: Job, [p, q]: readonly [KeptPiece, KeptPiece]): Mm {
  const both = (joint: JointSpec): boolean =>
    [p, q].every(({ tube }) => jointEnds(joint).some(({ member }) => member === tube.name));
  return Math.max(0, ...joints.filter(both).map(({ shrink = 0 }) => shrink));
}

function nearest([p, q]: readonly [KeptPiece, KeptPiece], of: 'bar' | 'metal', below: Mm): Contact | undefined {
  // Where two tubes of one size lie in each other their outsides only touch: the middle of the wall tells.
  const layers = [0, 0.5];
  const first = nearestPlace(p.tube, { target: tubeTarget(q.tube, q.tube.chunks, of), below, layers });
  const limit = first?.distance ?? below;
  const second = nearestPlace(q.tube, { target: tubeTarget(p.tube, p.tube.chunks, of), below: limit, layers });
  if (second) return { ...second, of: q, to: p };
  return first && { ...first, of: p, to: q };
}

const tubeTarget = (tube: KeptTube, chunks: readonly Chunk[], of: 'bar' | 'metal'): Target => ({
  atLeast: (chunk) => leastBetween(chunk, chunks),
  distanceAt: (p) => nearness(tube, chunks, p)[of],
});

/** Whether one of the two could lie in the other's bore. */
function mayNest(pair: readonly [KeptPiece, KeptPiece]): boolean {
  const least = ({ tube: { section } }: KeptPiece): Mm => Math.min(sectionWidth(section), sectionHeight(section));
  const [p, q] = pair;
  const fits = (thin: KeptPiece, wide: KeptPiece): boolean => least(thin) < least(wide) - 2 * wide.tube.section.wall;
  return fits(p, q) || fits(q, p);
}

function overlap({ units, joints }: Job, { of, to, distance, at }: Contact): Problem {
  const names = [of.tube.name, to.tube.name] as const;
  const by = lengthText(-distance, units);
  return {
    code: 'layout/members-touch',
    severity: 'warning',
    path: of.piece.member.spec.path,
    message: `${names[0]} and ${names[1]} run into each other near ${placeText(at, units)}, where no joint is: ${names[0]} lies up to ${by} inside ${names[1]}`,
    hint: overlapCure(joints, [of.tube, to.tube], at),
    measured: -distance,
    limit: 0,
  };
}

/** A tube that ends near the contact is best cut there; two that end there are best joined. */
function overlapCure(joints: readonly JointSpec[], pair: readonly [KeptTube, KeptTube], at: Vec3): string {
  const near = 2 * (sectionReach(pair[0].section) + sectionReach(pair[1].section));
  const [first, second] = pair.map((tube) => ({ name: tube.name, end: endNear(tube, at, near) })) as [Ending, Ending];
  const jointAt = ({ name, end }: Ending) =>
    end && joints.find((joint) => jointEnds(joint).some((ref) => ref.member === name && ref.end === end));
  if (first.end && second.end && !jointAt(first) && !jointAt(second))
    return `join them: miter: { ends: [${first.name}.${first.end}, ${second.name}.${second.end}] }, or cope one to the other; or move them apart`;
  for (const [own, other] of [[first, second] as const, [second, first] as const]) {
    if (!own.end) continue;
    const joint = jointAt(own);
    if (!joint) return `cut it there: cope: { branch: ${own.name}.${own.end}, run: ${other.name} }; or move them apart`;
    if (joint.kind !== 'cope') continue;
    const runs = [...joint.runs.map(({ member }) => member), other.name].join(', ');
    return `cut it to both: run: [${runs}] in joint ${joint.name}; or move them apart`;
  }
  return `move them apart, or part ${second.name} there and cope its ends to ${first.name}`;
}

interface Ending {
  readonly name: string;
  /** The end that lies near the place, if one does. */
  readonly end: 'start' | 'end' | undefined;
}

function endNear(tube: KeptTube, at: Vec3, near: Mm): Ending['end'] {
  const s = besideCenterline(tube.line, tube.section, at).s + tube.s0;
  const [before, after] = [s - tube.from, tube.to - s];
  if (Math.min(before, after) > near) return undefined;
  return before < after ? 'start' : 'end';
}

const tooNear = (
  { units }: Job,
  { contact: { of, to, distance, at }, wanted }: { readonly contact: Contact; readonly wanted: Mm },
): Problem => ({
  code: 'layout/clearance',
  severity: 'error',
  path: of.piece.member.spec.path,
  message: `${of.tube.name} and ${to.tube.name} are ${lengthText(Math.max(0, distance), units)} apart near ${placeText(at, units)}; the job wants ${lengthText(wanted, units)} between members that no joint joins`,
  hint: `move them ${lengthText(wanted - Math.max(0, distance), units)} apart, join them, or ask for less clearance`,
  measured: distance,
  limit: wanted,
});

/** A bent tube that comes back to itself: places farther apart along it than half round its own width. */
function selfTouch(job: Job, { piece, tube }: KeptPiece): readonly Problem[] {
  if (!tube.line.segments.some((segment) => segment.kind === 'bend')) return [];
  const reach = sectionReach(tube.section);
  const apart = Math.PI * reach;
  let worst: NearestPlace | undefined;
  for (const chunk of tube.chunks) {
    const pieces = Math.ceil((chunk.to - chunk.from) / (2 * reach));
    for (let i = 0; i < pieces; i++) {
      const share = (k: number): Mm => chunk.from + ((chunk.to - chunk.from) * k) / pieces;
      const short = chunkOf(tube, chunk.segment, [share(i), share(i + 1)]);
      const rest = chunksOf(tube, short.to + apart, tube.to);
      if (rest.length === 0) continue;
      const below = worst?.distance ?? -MEMBERS_LAP;
      worst = nearestPlace(tube, { target: tubeTarget(tube, rest, 'bar'), below, chunks: [short] }) ?? worst;
    }
  }
  if (!worst) return [];
  return [
    {
      code: 'layout/members-touch',
      severity: 'warning',
      path: piece.member.spec.path,
      message: `${tube.name} runs into itself near ${placeText(worst.at, job.units)}, by at least ${lengthText(-worst.distance, job.units)}`,
      hint: 'change a bend, or the plane it lies in',
      measured: -worst.distance,
      limit: 0,
    },
  ];
}

/** `[12.5, 0, 40] mm`. */
export const placeText = (p: Vec3, units: Job['units']): string =>
  `[${p.map((x) => Number((units === 'mm' ? x : x / 25.4).toFixed(units === 'mm' ? 1 : 2)) + 0).join(', ')}] ${units}`;
