import { pieceNames } from './elbow-names.ts';
import type { EndRef, JointSpec, MemberSpec, OpeningSpec, PlateSpec, ToolSpec } from './job.ts';
import { jointEnds } from './joint-spec.ts';
import { plateNames } from './plate-spec.ts';
import type { JobPath, Problem } from './problem.ts';
import { unknownSaw } from './shop-spec.ts';
import type { StockSpec } from './stock.ts';
import { nameHint } from './suggest.ts';
import { toolJoints, toolMembers, toolSections } from './tool-spec.ts';
import { quoted } from './wording.ts';

/** What could be read of a job, with all names that stand in the file, also of parts that are wrong. */
export interface Parts {
  readonly sections: readonly string[];
  readonly members: readonly string[];
  /** Undefined when the shop is wrong. */
  readonly saws: readonly string[] | undefined;
  readonly memberSpecs: readonly MemberSpec[];
  readonly joints: readonly JointSpec[];
  readonly tools: readonly ToolSpec[];
  readonly plates: readonly PlateSpec[];
  readonly openings: readonly OpeningSpec[];
  readonly stock: readonly StockSpec[];
}

/** Rules between the parts: names that are not there, members defined through themselves, ends cut twice. */
export function referenceProblems(parts: Parts): Problem[] {
  return [
    ...parts.memberSpecs.flatMap((member) => memberReferences(member, parts)),
    ...loops(parts.memberSpecs),
    ...parts.joints.flatMap((joint) => jointReferences(joint, parts)),
    ...endsTwice(parts.joints),
    ...sameNames(parts),
    ...parts.tools.flatMap((tool) => toolReferences(tool, parts)),
    ...parts.plates.flatMap((plate) => plateReferences(plate, parts)),
    ...parts.openings.flatMap(({ on, path }) =>
      unknownName(on, { kind: 'member', names: parts.members, path: [...path, 'on'] }),
    ),
    ...parts.stock.flatMap((stock) => stockReferences(stock, parts)),
  ];
}

/** A name that stands for nothing in this job. */
export const unknownName = (
  name: string,
  what: { kind: string; names: readonly string[]; path: JobPath },
): Problem[] =>
  what.names.includes(name)
    ? []
    : [
        {
          code: 'reference/unknown',
          severity: 'error',
          path: what.path,
          message: `there is no ${what.kind} ${quoted(name)} in this job`,
          hint: nameHint(name, what.names, `${what.kind}s`),
        },
      ];

function memberReferences(member: MemberSpec, { sections, members }: Parts): Problem[] {
  if (member.kind === 'mirror')
    return unknownName(member.of, { kind: 'member', names: members, path: [...member.path, 'mirror'] });
  const section = unknownName(member.section, { kind: 'section', names: sections, path: [...member.path, 'section'] });
  if (member.kind === 'points') return section;
  const goals = member.goals.flatMap((goal) =>
    'member' in goal ? unknownName(goal.member, { kind: 'member', names: members, path: goal.path }) : [],
  );
  return [...section, ...goals];
}

/** Members another one is laid out from. */
function laidOutFrom(member: MemberSpec): readonly { name: string; path: JobPath }[] {
  if (member.kind === 'mirror') return [{ name: member.of, path: [...member.path, 'mirror'] }];
  if (member.kind === 'points') return [];
  return member.goals.flatMap((goal) => ('member' in goal ? [{ name: goal.member, path: goal.path }] : []));
}

/** Each loop is told once, at the member that stands first in the file. */
function loops(members: readonly MemberSpec[]): Problem[] {
  const byName = new Map(members.map((member) => [member.name, member]));
  const done = new Set<string>();
  const problems: Problem[] = [];
  const visit = (member: MemberSpec, trail: readonly string[]): void => {
    if (done.has(member.name)) return;
    for (const { name, path } of laidOutFrom(member)) {
      const from = [...trail, member.name];
      const back = from.indexOf(name);
      if (back >= 0) {
        const ring = [...from.slice(back), name];
        const message =
          ring.length === 2
            ? `${name} is defined through itself`
            : `members are defined through each other: ${ring.join(' -> ')}`;
        problems.push({
          code: 'reference/loop',
          severity: 'error',
          path,
          message,
          hint: 'give one of them without the other',
        });
        continue;
      }
      const next = byName.get(name);
      if (next) visit(next, from);
    }
    done.add(member.name);
  };
  for (const member of members) visit(member, []);
  return problems;
}

function jointReferences(joint: JointSpec, parts: Parts): Problem[] {
  const { members } = parts;
  const ends = jointEnds(joint).flatMap((end) =>
    unknownName(end.member, { kind: 'member', names: members, path: end.path }),
  );
  if (joint.kind === 'trim') return [...ends, ...trimBend(joint, parts)];
  if (joint.kind !== 'cope') return ends;
  const runs = joint.runs.flatMap(({ member, path }): Problem[] => {
    if (member !== joint.branch.member) return unknownName(member, { kind: 'member', names: members, path });
    return [
      {
        code: 'field/conflict',
        severity: 'error',
        path,
        message: `${member} cannot be coped onto itself`,
        hint: 'run names the member the branch meets',
      },
    ];
  });
  return [...ends, ...runs, ...twice(joint.runs)];
}

function twice(runs: readonly { readonly member: string; readonly path: JobPath }[]): Problem[] {
  return runs
    .filter(({ member }, i) => runs.findIndex((run) => run.member === member) < i)
    .map(({ member, path }) => ({
      code: 'field/conflict',
      severity: 'error',
      path,
      message: `${member} stands twice among the runs`,
      hint: 'name it once',
    }));
}

/** A trim that counts bends must find the one it names. */
function trimBend(joint: JointSpec & { kind: 'trim' }, { memberSpecs }: Parts): Problem[] {
  if (joint.where.kind !== 'into-bend') return [];
  const bends = bendCount(joint.end.member, memberSpecs);
  if (bends === undefined) return [];
  const { member } = joint.end;
  if (bends === 0) {
    return [
      {
        code: 'field/conflict',
        severity: 'error',
        path: [...joint.path, 'into-bend'],
        message: `${member} has no bend to trim into`,
        hint: 'use at: the distance from the start',
      },
    ];
  }
  const { bend } = joint.where;
  if (bend === undefined || bend <= bends) return [];
  return [
    {
      code: 'field/out-of-range',
      severity: 'error',
      path: [...joint.path, 'bend'],
      message: `there is no bend ${bend}: ${member} has ${bends}`,
      hint: 'bends are counted from the start of the member',
      measured: bend,
      limit: bends,
    },
  ];
}

function bendCount(name: string, members: readonly MemberSpec[]): number | undefined {
  let wanted = name;
  // As many steps as there are members: a loop of mirrors ends the search.
  for (const _ of members) {
    const member = members.find((m) => m.name === wanted);
    if (!member) return undefined;
    if (member.kind === 'points') return member.clrs.length;
    if (member.kind === 'run') return member.run.filter((item) => item.kind === 'bend' && !item.elbow).length;
    wanted = member.of;
  }
  return undefined;
}

function endsTwice(joints: readonly JointSpec[]): Problem[] {
  const first = new Map<string, JointSpec>();
  const problems: Problem[] = [];
  for (const joint of joints) {
    for (const end of jointEnds(joint)) {
      const key = `${end.member}.${end.end}`;
      const other = first.get(key);
      if (other) problems.push(endTwice(key, { end, joint, other }));
      else first.set(key, joint);
    }
  }
  return problems;
}

function endTwice(key: string, { end, joint, other }: { end: EndRef; joint: JointSpec; other: JointSpec }): Problem {
  const where =
    other === joint
      ? 'stands twice in this joint'
      : `is already cut by joint ${Number(other.path[1]) + 1} (${other.kind})`;
  return {
    code: 'joint/same-end-twice',
    severity: 'error',
    path: end.path,
    message: `${key} ${where}`,
    hint: 'an end is cut once; did you mean the other end?',
  };
}

/** Names that would meet in one file name, also on systems that take large and small letters for the same. */
function sameNames({ memberSpecs, joints, tools }: Parts): Problem[] {
  const named = <T extends { readonly name?: string; readonly path: JobPath }>(
    parts: readonly T[],
    kind: string,
    at: (part: T) => JobPath,
  ): Problem[] => {
    const seen = new Map<string, string>();
    return parts.flatMap((part): Problem[] => {
      if (part.name === undefined) return [];
      const key = part.name.toLowerCase();
      const other = seen.get(key);
      seen.set(key, other ?? part.name);
      if (other === undefined) return [];
      const how =
        other === part.name
          ? 'is used twice'
          : `differs from ${quoted(other)} only by capitals, which some file systems do not tell apart`;
      return [
        {
          code: kind === 'tool' ? 'tool/duplicate-name' : 'field/name',
          severity: 'error',
          path: at(part),
          message: `the ${kind} name ${quoted(part.name)} ${how}`,
          hint: 'choose another name',
        },
      ];
    });
  };
  // An end that is cut twice gives two joints one made-up name; that is told already.
  const ownNames = joints.filter(
    (joint, i) => !joints.slice(0, i).some((other) => jointEnds(other)[0] && sharesEnd(other, joint)),
  );
  return [
    ...named([...memberSpecs, ...elbowPieces(memberSpecs)], 'member', ({ path }) => path),
    ...named(ownNames, 'joint', ({ path }) => [...path, 'name']),
    ...named(tools, 'tool', ({ path }) => [...path, 'name']),
  ];
}

/** The pieces of members with elbows, which are members of their own. */
const elbowPieces = (members: readonly MemberSpec[]): readonly { name: string; path: JobPath }[] =>
  members.flatMap(({ name, path }) =>
    pieceNames(name, members)
      .filter((piece) => piece !== name)
      .map((piece) => ({ name: piece, path })),
  );

const sharesEnd = (p: JointSpec, q: JointSpec): boolean =>
  jointEnds(p).some((a) => jointEnds(q).some((b) => a.member === b.member && a.end === b.end));

function plateReferences(plate: PlateSpec, { members, joints }: Parts): Problem[] {
  const { members: named, merge } = plateNames(plate);
  const missing = named.flatMap(({ member, path }) => unknownName(member, { kind: 'member', names: members, path }));
  const merges = joints.filter(({ kind }) => kind === 'merge').map(({ name }) => name);
  return merge === undefined
    ? missing
    : [...missing, ...unknownName(merge, { kind: 'merge joint', names: merges, path: [...plate.path, 'filler'] })];
}

function stockReferences({ section, saw, path }: StockSpec, { sections, saws }: Parts): Problem[] {
  const named = unknownName(section, { kind: 'section', names: sections, path });
  if (saw === undefined || !saws || saws.includes(saw)) return named;
  return [...named, unknownSaw(saw, { names: saws, path: [...path, 'saw'] })];
}

function toolReferences(tool: ToolSpec, { members, sections, saws, joints, memberSpecs }: Parts): Problem[] {
  const names = [...members, ...elbowPieces(memberSpecs).map(({ name }) => name)];
  const jointNames = joints.map(({ name }) => name);
  const named = [
    ...toolMembers(tool).flatMap(({ member, path }) => unknownName(member, { kind: 'member', names, path })),
    ...toolSections(tool).flatMap(({ section, path }) =>
      unknownName(section, { kind: 'section', names: sections, path }),
    ),
    ...toolJoints(tool).flatMap(({ joint, path }) => unknownName(joint, { kind: 'joint', names: jointNames, path })),
  ];
  const saw = 'saw' in tool ? tool.saw : undefined;
  if (saw === undefined || !saws || saws.includes(saw)) return named;
  return [...named, unknownSaw(saw, { names: saws, path: [...tool.path, 'saw'] })];
}
