import type { RawBenchTools } from './bench-tool-schema.ts';
import type {
  BenchToolSpec,
  ClockingRingSpec,
  DrillGuideSpec,
  FitCouponSpec,
  SpacerSpec,
  StandInSpec,
  StandInSubject,
} from './bench-tools.ts';
import type { JobPath } from './problem.ts';

/** A tool that belongs to no one cut end, field by field; undefined where the item names another kind. */
export function benchToolSpec(raw: RawBenchTools, index: number): BenchToolSpec | undefined {
  const path = (kind: string): JobPath => ['tools', index, kind];
  const coupon = raw['fit-coupon'];
  if (coupon !== undefined) return fitCouponSpec(coupon, path('fit-coupon'));
  if (raw.spacer !== undefined) return spacerSpec(raw.spacer, path('spacer'));
  const ring = raw['clocking-ring'];
  if (ring !== undefined) return clockingRingSpec(ring, path('clocking-ring'));
  const drill = raw['drill-guide'];
  if (drill !== undefined) return drillGuideSpec(drill, path('drill-guide'));
  const standIn = raw['stand-in'];
  if (standIn !== undefined) return standInSpec(standIn, path('stand-in'));
  return undefined;
}

function fitCouponSpec(raw: NonNullable<RawBenchTools['fit-coupon']>, path: JobPath): FitCouponSpec {
  if (typeof raw === 'string') return { kind: 'fit-coupon', path, section: raw, shape: 'auto' };
  const { section, clearances, shape, name } = raw;
  return {
    kind: 'fit-coupon',
    path,
    section,
    shape,
    ...(clearances === undefined ? {} : { clearances }),
    ...(name === undefined ? {} : { name }),
  };
}

function spacerSpec(raw: NonNullable<RawBenchTools['spacer']>, path: JobPath): SpacerSpec {
  const { of, at, thick, name } = raw;
  return {
    kind: 'spacer',
    path,
    members: of,
    ...(at === undefined ? {} : { at }),
    ...(thick === undefined ? {} : { thick }),
    ...(name === undefined ? {} : { name }),
  };
}

function clockingRingSpec(raw: NonNullable<RawBenchTools['clocking-ring']>, path: JobPath): ClockingRingSpec {
  if (typeof raw === 'string') return { kind: 'clocking-ring', path, member: raw, checks: false };
  const { of, bends, check, name } = raw;
  return {
    kind: 'clocking-ring',
    path,
    member: of,
    checks: check ?? false,
    ...(bends === undefined ? {} : { bends }),
    ...(name === undefined ? {} : { name }),
  };
}

function drillGuideSpec(raw: NonNullable<RawBenchTools['drill-guide']>, path: JobPath): DrillGuideSpec {
  const { on, at, toward, angle, bush, drill, datum, name } = raw;
  return {
    kind: 'drill-guide',
    path,
    member: on,
    at,
    towardDeg: toward,
    leanDeg: angle,
    hole: { kind: bush === undefined ? 'drill' : 'bush', diameter: bush ?? drill ?? 0 },
    datum,
    ...(name === undefined ? {} : { name }),
  };
}

function standInSpec(raw: NonNullable<RawBenchTools['stand-in']>, path: JobPath): StandInSpec {
  if (typeof raw === 'string')
    return { kind: 'stand-in', path, of: { kind: 'member', member: raw }, ends: 'cut', marksDeg: 5 };
  const { ends, marks, name } = raw;
  return {
    kind: 'stand-in',
    path,
    of: standInSubject(raw),
    ends: ends ?? 'cut',
    marksDeg: marks,
    ...(name === undefined ? {} : { name }),
  };
}

function standInSubject(raw: Exclude<NonNullable<RawBenchTools['stand-in']>, string>): StandInSubject {
  const { of, from, to, bend, section, straight, clr, angle } = raw;
  if (of !== undefined) {
    return {
      kind: 'member',
      member: of,
      ...(from === undefined ? {} : { from }),
      ...(to === undefined ? {} : { to }),
      ...(bend === undefined ? {} : { bend }),
    };
  }
  const turn = clr !== undefined && angle !== undefined ? { bend: { clr, bendAngleDeg: angle } } : {};
  return { kind: 'section', section: section ?? '', straight: straight ?? 0, ...turn };
}

/** Members and sections a tool names, with where it does. */
export function benchToolNames(tool: BenchToolSpec): {
  readonly members: readonly { readonly member: string; readonly path: JobPath }[];
  readonly sections: readonly { readonly section: string; readonly path: JobPath }[];
} {
  const { path } = tool;
  switch (tool.kind) {
    case 'fit-coupon':
      return { members: [], sections: [{ section: tool.section, path }] };
    case 'spacer':
      return { members: tool.members.map((member, i) => ({ member, path: [...path, 'of', i] })), sections: [] };
    case 'clocking-ring':
    case 'drill-guide':
      return { members: [{ member: tool.member, path }], sections: [] };
    case 'stand-in': {
      const { of } = tool;
      if (of.kind === 'member') return { members: [{ member: of.member, path }], sections: [] };
      return { members: [], sections: [{ section: of.section, path }] };
    }
  }
}
