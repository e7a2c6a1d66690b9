import { cosd } from '../geometry/angle.ts';
import type { Centerline } from '../geometry/centerline.ts';
import { elbowMiterDeg, heelOf, middlePieceLength, outOf, weldedUp } from '../geometry/elbow.ts';
import { perimeter, type Section } from '../geometry/section.ts';
import type { Deg, Mm } from '../geometry/vector.ts';
import { elbowName, goreName } from '../job/elbow-names.ts';
import type { EndRef, Job, JointSpec, MiterJoint, OpeningSpec, ToolSpec, TrimJoint } from '../job/job.ts';
import { ANGLES } from '../job/limits.ts';
import { figure, type JobPath, type Outcome, type Problem } from '../job/problem.ts';
import type { Elbow, Member } from './solution.ts';

/** What is built once every elbow is parted at its welds: the pieces, and the job with its names carried over to them. */
export interface WeldedLayout {
  readonly job: Job;
  readonly members: readonly Member[];
  readonly elbows: readonly Elbow[];
}

/**
 * Part members at the welds of their elbows. Each piece is a member of its own, `<member>-gore-1` and on; a miter joins
 * each to the next, and what the job says of the member's start and end goes to the first and last piece.
 */
export function weldUpElbows(job: Job, members: readonly Member[]): Outcome<WeldedLayout> {
  const parted = members.map(partMember);
  if (parted.every(({ elbows }) => elbows.length === 0)) return { value: { job, members, elbows: [] }, problems: [] };
  const elbows = parted.flatMap((part) => part.elbows);
  const problems = elbows.flatMap(elbowProblems);
  const piecesOf = new Map(parted.map(({ member, pieces }) => [member.name, pieces]));
  const moved = job.joints.map((joint) => carriedOver(joint, piecesOf));
  const joints = [...moved, ...parted.flatMap(({ welds }) => welds)];
  const tools = job.tools === 'auto' ? job.tools : job.tools.map((tool) => toolOn(tool, piecesOf));
  const pieces = parted.flatMap((part) => part.pieces);
  const openings = job.openings?.map((spec) => openingOn(spec, piecesOf));
  return {
    value: { job: { ...job, joints, tools, ...(openings ? { openings } : {}) }, members: pieces, elbows },
    problems,
  };
}

type PiecesOf = ReadonlyMap<string, readonly Member[]>;

interface PartedMember {
  readonly member: Member;
  readonly pieces: readonly Member[];
  readonly elbows: readonly Elbow[];
  readonly welds: readonly MiterJoint[];
}

function partMember(member: Member): PartedMember {
  const { pieces: lines, elbows: found } = weldedUp(member.centerline);
  if (found.length === 0) return { member, pieces: [member], elbows: [], welds: [] };
  const { mirrorOf, solved, solving, ...rest } = member;
  const sections = lines.map((_, i) => lastSection(member.section, lines.slice(0, i)));
  const pieces = lines.map(
    (centerline, i): Member => ({
      ...rest,
      section: sections[i]!,
      name: goreName(member.name, i + 1),
      centerline,
      ...(mirrorOf === undefined ? {} : { mirrorOf: goreName(mirrorOf, i + 1) }),
      solved: i === 0 ? solved : [],
      ...(i === 0 && solving ? { solving } : {}),
    }),
  );
  const paths = elbowPaths(member);
  const elbows = found.map(({ segment, first }, i): Elbow => {
    const { welds, gap } = segment.elbow ?? { welds: 1, gap: 0 };
    return {
      name: elbowName(member.name, i + 1),
      member: member.name,
      section: segment.section ?? member.section,
      clr: segment.clr,
      bendAngleDeg: segment.bendAngleDeg,
      towardDeg: segment.towardDeg,
      welds,
      gap,
      pieces: pieces.slice(first, first + welds + 1).map(({ name }) => name),
      path: paths[i] ?? member.spec.path,
    };
  });
  const welds = elbows.flatMap((elbow) =>
    elbow.pieces.slice(1).map((after, i): MiterJoint => {
      const { path, gap } = elbow;
      const first: EndRef = { member: elbow.pieces[i]!, end: 'end', path };
      const number = Number(after.slice(after.lastIndexOf('-') + 1)) - 1;
      const name = `${member.name}-weld-${number}`;
      return { kind: 'miter', name, gap, path, ends: [first, { member: after, end: 'start', path }] };
    }),
  );
  return { member, pieces, elbows, welds };
}

/** The section that the last taper of some pieces leads to. */
const lastSection = (section: Section, lines: readonly Centerline[]): Section =>
  lines.flatMap(({ segments }) => segments).reduce((now, x) => (x.kind === 'taper' ? x.to : now), section);

/** Where each elbow is written; of a mirror image, the image. */
function elbowPaths({ spec }: Member): readonly JobPath[] {
  if (spec.kind !== 'run') return [];
  return spec.run.flatMap((item) => (item.kind === 'bend' && item.elbow ? [item.path] : []));
}

function endOn(ref: EndRef, piecesOf: PiecesOf): EndRef {
  const piece = piecesOf.get(ref.member)?.at(ref.end === 'end' ? -1 : 0);
  return piece ? { ...ref, member: piece.name } : ref;
}

/** A tool for an end of the member is one for its first or last piece. */
const toolOn = (tool: ToolSpec, piecesOf: PiecesOf): ToolSpec =>
  'end' in tool ? { ...tool, end: endOn(tool.end, piecesOf) } : tool;

/** The joint with the ends of whole members carried over to their first and last pieces, and runs to all pieces. */
function carriedOver(joint: JointSpec, piecesOf: PiecesOf): JointSpec {
  const on = (ref: EndRef): EndRef => endOn(ref, piecesOf);
  switch (joint.kind) {
    case 'cope':
      return {
        ...joint,
        branch: on(joint.branch),
        runs: joint.runs.flatMap((run) =>
          (piecesOf.get(run.member) ?? []).map(({ name }) => ({ ...run, member: name })),
        ),
      };
    case 'merge':
      return { ...joint, legs: joint.legs.map(on), trunk: on(joint.trunk) };
    case 'trim':
      return { ...joint, end: on(joint.end), where: trimOnPiece(joint, piecesOf) };
    case 'miter':
    case 'butt':
      return { ...joint, ends: [on(joint.ends[0]), on(joint.ends[1])] };
  }
}

/** A hole is in the piece that its place falls on; lengths run over the weld points. */
function openingOn(spec: OpeningSpec, piecesOf: PiecesOf): OpeningSpec {
  const pieces = piecesOf.get(spec.on) ?? [];
  let before = 0;
  for (const [i, { name, centerline }] of pieces.entries()) {
    if (spec.at <= before + centerline.length || i === pieces.length - 1)
      return { ...spec, on: name, at: spec.at - before };
    before += centerline.length;
  }
  return spec;
}

/** Lengths and bends of a trim are counted from the member's start; those of the piece, from the piece's. */
function trimOnPiece(joint: TrimJoint, piecesOf: PiecesOf): TrimJoint['where'] {
  const pieces = piecesOf.get(joint.end.member) ?? [];
  const before = joint.end.end === 'end' ? pieces.slice(0, -1) : [];
  const { where } = joint;
  if (where.kind === 'at')
    return { ...where, distance: where.distance - before.reduce((sum, { centerline }) => sum + centerline.length, 0) };
  if (where.kind !== 'into-bend' || where.bend === undefined) return where;
  const bends = before.flatMap(({ centerline }) => centerline.segments.filter(({ kind }) => kind === 'bend'));
  return { ...where, bend: where.bend - bends.length };
}

function elbowProblems(elbow: Elbow): readonly Problem[] {
  const miter = elbowMiterDeg(elbow);
  const base = { severity: 'error', path: elbow.path } as const;
  if (miter > ANGLES.miter.max) {
    return [
      {
        ...base,
        code: 'elbow/too-few-welds',
        message: `a turn of ${figure(elbow.bendAngleDeg)} deg with ${elbow.welds} weld${elbow.welds === 1 ? '' : 's'} takes cuts of ${figure(miter)} deg from square, limit ${ANGLES.miter.max} deg`,
        hint: 'give the elbow more welds',
        measured: miter,
        limit: ANGLES.miter.max,
      },
    ];
  }
  const { throat } = elbowLengths(elbow).middle;
  const least = elbow.welds > 1 ? throat : throat / 2;
  if (least > 0) return [];
  const need = elbow.gap / cosd(miter) / (2 * Math.tan((miter * Math.PI) / 180));
  const limit = outOf(elbow.section, elbow.towardDeg, heelOf(elbow.section, elbow.towardDeg)) + need;
  return [
    {
      ...base,
      code: 'elbow/no-throat',
      message: `the gores of ${elbow.name} are ${figure(throat)} mm long on the throat: clr is ${figure(elbow.clr)} mm, and ${elbow.gap > 0 ? 'half the tube with the gaps takes' : 'half the tube is'} ${figure(limit)} mm`,
      hint: `clr is measured to the centerline: write more than ${figure(limit)} mm`,
      measured: elbow.clr,
      limit,
    },
  ];
}

/** On the outside line of the turn, the axis and the inside line. */
export interface PieceLengths {
  readonly heel: Mm;
  readonly center: Mm;
  readonly throat: Mm;
}

/** Lengths of the elbow's pieces; an end piece is told without the straight it is one with. */
export function elbowLengths(elbow: Elbow): { readonly middle: PieceLengths; readonly end: PieceLengths } {
  const reach = outOf(elbow.section, elbow.towardDeg, heelOf(elbow.section, elbow.towardDeg));
  const middle = {
    heel: middlePieceLength(elbow, reach),
    center: middlePieceLength(elbow, 0),
    throat: middlePieceLength(elbow, -reach),
  };
  return { middle, end: { heel: middle.heel / 2, center: middle.center / 2, throat: middle.throat / 2 } };
}

export interface ElbowOrdinate {
  /** Share of the way round from the heel, in degrees; an angle at the axis on round tube only. */
  readonly turnDeg: Deg;
  /** The same place as a length round the outside. */
  readonly around: Mm;
  /** How far the cut lies back from its long point at the heel. */
  readonly cutBack: Mm;
  readonly end: Mm;
  readonly middle: Mm;
}

/** Lengths on equally spaced lines round the tube from the heel, all the way round: 12 or 16 divisions are usual. */
export function elbowOrdinates(elbow: Elbow, divisions: number): readonly ElbowOrdinate[] {
  const heel = heelOf(elbow.section, elbow.towardDeg);
  const longest = elbowLengths(elbow).end.heel;
  return Array.from({ length: divisions }, (_, i) => {
    const middle = middlePieceLength(elbow, outOf(elbow.section, elbow.towardDeg, heel + i / divisions));
    return {
      turnDeg: (360 * i) / divisions,
      around: (perimeter(elbow.section) * i) / divisions,
      cutBack: longest - middle / 2,
      end: middle / 2,
      middle,
    };
  });
}
