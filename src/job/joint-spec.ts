import type { EndText } from './fields.ts';
import type { EndRef, JointSpec, Plane, TrimJoint } from './job.ts';
import { JOINT_KINDS, type RawJoint } from './joint-schema.ts';
import type { JobPath } from './problem.ts';

export const endRef = ({ member, end }: EndText, path: JobPath): EndRef => ({ member, end, path });
const endWord = ({ member, end }: EndText): string => `${member}-${end}`;
const planeOf = (raw: { at: Plane['point']; normal: Plane['normal'] }): Plane => ({
  point: raw.at,
  normal: raw.normal,
});

/** A joint field by field. Without a name it is called after its kind and the end it cuts, which no other joint may cut. */
export function jointSpec(raw: RawJoint, index: number): JointSpec | undefined {
  const kind = JOINT_KINDS.find((k) => raw[k] !== undefined);
  const path: JobPath = ['joints', index, kind ?? 'cope'];
  if (raw.cope) {
    const { branch, run, open, gap, name = `cope-${endWord(branch)}` } = raw.cope;
    const runs = Array.isArray(run)
      ? run.map((member, i) => ({ member, path: [...path, 'run', i] }))
      : [{ member: run, path: [...path, 'run'] }];
    return {
      kind: 'cope',
      name,
      gap,
      ...shrinkOf(raw.cope),
      path,
      branch: endRef(branch, [...path, 'branch']),
      runs,
      open: open === true ? 'bore' : open,
    };
  }
  if (raw.miter) {
    const { ends, gap, plane, name = `miter-${endWord(ends[0]!)}` } = raw.miter;
    return {
      kind: 'miter',
      name,
      gap,
      ...shrinkOf(raw.miter),
      path,
      ends: pair(ends, path),
      ...(plane ? { plane: planeOf(plane) } : {}),
    };
  }
  if (raw.butt) {
    const { ends, gap, name = `butt-${endWord(ends[0]!)}` } = raw.butt;
    return { kind: 'butt', name, gap, ...shrinkOf(raw.butt), path, ends: pair(ends, path) };
  }
  if (raw.merge) {
    const { legs, trunk, gap, name = `merge-${endWord(trunk)}` } = raw.merge;
    return {
      kind: 'merge',
      name,
      gap,
      ...shrinkOf(raw.merge),
      path,
      legs: legs.map((leg, i) => endRef(leg, [...path, 'legs', i])),
      trunk: endRef(trunk, [...path, 'trunk']),
    };
  }
  return raw.trim && trimSpec(raw.trim, path);
}

const shrinkOf = ({ shrink }: { readonly shrink?: number | undefined }) => (shrink === undefined ? {} : { shrink });

const pair = (ends: readonly EndText[], path: JobPath): readonly [EndRef, EndRef] => [
  endRef(ends[0]!, [...path, 'ends', 0]),
  endRef(ends[1]!, [...path, 'ends', 1]),
];

function trimSpec(raw: NonNullable<RawJoint['trim']>, path: JobPath): JointSpec | undefined {
  const where = trimPlace(raw);
  if (!where) return undefined;
  const { end, gap, name = `trim-${endWord(end)}`, miter = 0 } = raw;
  return {
    kind: 'trim',
    name,
    gap,
    path,
    end: endRef(end, [...path, 'end']),
    where,
    miterDeg: miter,
    longPointDeg: raw['long-point'] ?? 0,
  };
}

function trimPlace(raw: NonNullable<RawJoint['trim']>): TrimJoint['where'] | undefined {
  const into = raw['into-bend'];
  if (raw.at !== undefined) return { kind: 'at', distance: raw.at };
  if (into !== undefined)
    return { kind: 'into-bend', bendAngleDeg: into, ...(raw.bend === undefined ? {} : { bend: raw.bend }) };
  if (raw.width !== undefined) return { kind: 'size', across: 'width', size: raw.width };
  if (raw.height !== undefined) return { kind: 'size', across: 'height', size: raw.height };
  return raw.plane && { kind: 'plane', plane: planeOf(raw.plane) };
}

/** Ends a joint cuts or takes up. */
export function jointEnds(joint: JointSpec): readonly EndRef[] {
  switch (joint.kind) {
    case 'cope':
      return [joint.branch];
    case 'merge':
      return [...joint.legs, joint.trunk];
    case 'trim':
      return [joint.end];
    case 'miter':
    case 'butt':
      return joint.ends;
  }
}
