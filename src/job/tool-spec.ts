import { benchToolNames, benchToolSpec } from './bench-tool-spec.ts';
import { type BlockAngle, isBenchTool } from './bench-tools.ts';
import { cradleSpec } from './fit-up-schema.ts';
import type { EndRef, ToolSpec } from './job.ts';
import { endRef } from './joint-spec.ts';
import type { JobPath } from './problem.ts';
import { CUT_TOOL_KINDS, type RawTool } from './tool-schema.ts';

/** A tool field by field; the short form `saw-guide: leg.end` stands for the tool with every default. */
export function toolSpec(raw: RawTool, index: number): ToolSpec | undefined {
  const kind = CUT_TOOL_KINDS.find((k) => raw[k] !== undefined);
  const body = kind && raw[kind];
  if (!kind || !body) return otherTool(raw, index);
  const path: JobPath = ['tools', index, kind];
  if ('member' in body) return { kind, path, end: endRef(body, path), datum: 'auto', surface: 'outer', parts: 'auto' };
  const { end, name, datum, grip } = body;
  const saw = 'saw' in body ? body.saw : undefined;
  return {
    kind,
    path,
    end: endRef(end, [...path, 'end']),
    datum,
    surface: 'surface' in body ? body.surface : 'outer',
    parts: 'parts' in body ? body.parts : 'auto',
    ...(name === undefined ? {} : { name }),
    ...(saw === undefined ? {} : { saw }),
    ...(grip === undefined ? {} : { grip }),
  };
}

function segmentGuide(raw: NonNullable<RawTool['segment-guide']>, index: number): ToolSpec {
  const path: JobPath = ['tools', index, 'segment-guide'];
  if (typeof raw === 'string') return { kind: 'segment-guide', path, elbow: raw, number: 1 };
  const { elbow, number, saw, grip, name } = raw;
  return {
    kind: 'segment-guide',
    path,
    elbow,
    number,
    ...(saw === undefined ? {} : { saw }),
    ...(grip === undefined ? {} : { grip }),
    ...(name === undefined ? {} : { name }),
  };
}

function openingGauge(raw: NonNullable<RawTool['opening-gauge']>, index: number): ToolSpec {
  const path: JobPath = ['tools', index, 'opening-gauge'];
  if (typeof raw === 'string') return { kind: 'opening-gauge', path, opening: raw, datum: 'auto' };
  const { opening, datum, name } = raw;
  return { kind: 'opening-gauge', path, opening, datum, ...(name === undefined ? {} : { name }) };
}

/** Tools that do not belong to one cut end. */
function otherTool(raw: RawTool, index: number): ToolSpec | undefined {
  if (raw['segment-guide'] !== undefined) return segmentGuide(raw['segment-guide'], index);
  if (raw['opening-gauge'] !== undefined) return openingGauge(raw['opening-gauge'], index);
  const cradle = raw['fit-up-cradle'];
  if (cradle !== undefined) return cradleSpec(cradle, ['tools', index, 'fit-up-cradle']);
  const block = raw['angle-block'];
  if (!block) return benchToolSpec(raw, index);
  const { length, name } = block;
  const path: JobPath = ['tools', index, 'angle-block'];
  return { kind: 'angle-block', path, angle: blockAngle(block, path), length, ...(name === undefined ? {} : { name }) };
}

function blockAngle({ angle, cut, of, bend }: NonNullable<RawTool['angle-block']>, path: JobPath): BlockAngle {
  if (cut) return { kind: 'cut', end: endRef(cut, [...path, 'cut']) };
  if (of !== undefined) return { kind: 'bend', member: of, bend: bend ?? 1 };
  return { kind: 'given', angleDeg: angle ?? 0 };
}

/** Joints a tool names, with where it does. */
export const toolJoints = (tool: ToolSpec): readonly { readonly joint: string; readonly path: JobPath }[] =>
  tool.kind === 'fit-up-cradle' && tool.holds.kind === 'joints' ? tool.holds.joints : [];

/** Members a tool names, with where it does. */
export function toolMembers(tool: ToolSpec): readonly Pick<EndRef, 'member' | 'path'>[] {
  switch (tool.kind) {
    case 'saw-guide':
    case 'marking-gauge':
    case 'notch-collar':
      return [tool.end];
    case 'segment-guide':
      return [{ member: tool.elbow, path: tool.path }];
    case 'angle-block': {
      const { angle } = tool;
      if (angle.kind === 'bend') return [{ member: angle.member, path: [...tool.path, 'of'] }];
      return angle.kind === 'cut' ? [angle.end] : [];
    }
    case 'opening-gauge':
      return [];
    case 'fit-up-cradle':
      return [...(tool.holds.kind === 'members' ? tool.holds.members : []), ...tool.stations];
    default:
      return benchToolNames(tool).members;
  }
}

/** Sections a tool names itself, with where it does. */
export function toolSections(tool: ToolSpec): readonly { readonly section: string; readonly path: JobPath }[] {
  return isBenchTool(tool) ? benchToolNames(tool).sections : [];
}
