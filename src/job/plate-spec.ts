import type { FlangePlate, PlateSpec, ThroughPlate } from './job.ts';
import { endRef } from './joint-spec.ts';
import type { RawPlate } from './plate-schema.ts';
import type { JobPath } from './problem.ts';

/** A plate field by field. */
export function plateSpec(name: string, raw: RawPlate): PlateSpec | undefined {
  const path: JobPath = ['plates', name];
  const { through, flange, gusset, filler, thickness, material } = raw;
  const base = { name, thickness, path, ...(material === undefined ? {} : { material }) };
  if (through) {
    const { members, room, plane, along, outline, holes } = through;
    const at: JobPath = [...path, 'through', 'members'];
    return {
      ...base,
      kind: 'through',
      members: members.map((member, i) => ({ member, path: [...at, i] })),
      room,
      plane: { point: plane.at, normal: plane.normal },
      ...(along ? { along } : {}),
      outline: outlineOf(outline),
      holes: holes.map((hole) => ({ at: hole.at, diameter: hole.hole })),
    };
  }
  if (flange) {
    const { end, fit, room, margin, bolts } = flange;
    return {
      ...base,
      kind: 'flange',
      end: endRef(end, [...path, 'flange', 'end']),
      fit,
      room,
      margin,
      ...(bolts ? { bolts: boltHoles(bolts) } : {}),
    };
  }
  if (gusset) {
    const at: JobPath = [...path, 'gusset', 'between'];
    const [first, second] = gusset.between;
    const { legs, gap, blunt, corner } = gusset;
    const [a, b] = Array.isArray(legs) ? legs : [legs, legs];
    return {
      ...base,
      kind: 'gusset',
      between: [
        { member: first!, path: [...at, 0] },
        { member: second!, path: [...at, 1] },
      ],
      legs: [a!, b!],
      gap,
      blunt,
      corner,
    };
  }
  return filler === undefined ? undefined : { ...base, kind: 'filler', merge: filler };
}

function boltHoles({
  count,
  hole,
  circle,
  out,
  from = 0,
}: NonNullable<NonNullable<RawPlate['flange']>['bolts']>): NonNullable<FlangePlate['bolts']> {
  return circle === undefined
    ? { count, diameter: hole, on: { kind: 'outside', out: out ?? 0, from: from / 360 } }
    : { count, diameter: hole, on: { kind: 'circle', diameter: circle, fromDeg: from } };
}

function outlineOf(raw: NonNullable<RawPlate['through']>['outline']): ThroughPlate['outline'] {
  const { margin, width, height, corner, round } = raw;
  if (round !== undefined) return { kind: 'round', diameter: round };
  if (width !== undefined && height !== undefined) return { kind: 'rectangle', width, height, corner };
  return { kind: 'margin', margin: margin ?? 20, corner };
}

/** Members and joints a plate names, with where it does. */
export function plateNames(plate: PlateSpec): {
  readonly members: readonly { readonly member: string; readonly path: JobPath }[];
  readonly merge?: string;
} {
  switch (plate.kind) {
    case 'through':
      return { members: plate.members };
    case 'flange':
      return { members: [plate.end] };
    case 'gusset':
      return { members: plate.between };
    case 'filler':
      return { members: [], merge: plate.merge };
  }
}
