import { type ManifestDimension, sha256 } from '../export/manifest.ts';
import type { Section } from '../geometry/section.ts';
import { toolLooksAt } from '../tooling/registry.ts';
import type { CutRequest, ToolRequest } from '../tooling/request.ts';
import { type Tool, tubesOf } from '../tooling/tool.ts';

/** What goes into a tool's files besides the tool itself. */
export interface ToolSettings {
  /** Hash of this program's code. */
  readonly program: string;
  readonly madeBy: string;
  readonly sourceDateEpoch?: number;
}

/**
 * Left out of the hashes: places in the job file, which shape nothing; the curves, which follow from the stops, the member
 * and the chord tolerance; the whole job, of which the parts a tool looks at are taken one by
 * one; and what is bought and kept clear of, which no tool looks at.
 */
const LEFT_OUT = new Set(['path', 'curves', 'solution', 'stock', 'keepOut', 'clearance', 'heat', 'heatRise']);

/** SHA-256 over everything a tool and its files depend on: the same hash, the same bytes. */
export function toolSource(request: ToolRequest, { program, madeBy, sourceDateEpoch }: ToolSettings): string {
  const { solution } = request;
  const { name, units } = solution.job;
  const job = toolLooksAt(request) === 'end' ? { name, units } : { ...solution };
  return hashOf({ program, madeBy, sourceDateEpoch, job, request: 'piece' in request ? barePiece(request) : request });
}

/** A cut at the piece's other end counts by where it lies, which `from` and `to` say. */
const barePiece = (request: CutRequest): object => {
  const { piece } = request;
  return { ...request, piece: { ...piece, startEnd: piece.startEnd?.id, finishEnd: piece.finishEnd?.id } };
};

/** SHA-256 over a tool as it was shaped, with all else that its files and its proof depend on. */
export function toolShape(
  request: ToolRequest,
  tool: Tool,
  { program, madeBy, sourceDateEpoch }: ToolSettings,
): string {
  const { shop, solution } = request;
  return hashOf({ program, madeBy, sourceDateEpoch, job: solution.job.name, shop, tool });
}

const hashOf = (value: object): string =>
  sha256(
    JSON.stringify(value, (key, inner) => {
      if (LEFT_OUT.has(key)) return undefined;
      // The coordinates of meshes: as text they would be slow.
      return ArrayBuffer.isView(inner)
        ? sha256(new Uint8Array(inner.buffer, inner.byteOffset, inner.byteLength))
        : inner;
    }),
  );

/** Numbers a person knows a tool by, with everything of the shop and the tubes that shapes it. */
export function toolDimensions(request: ToolRequest, tool: Tool): readonly ManifestDimension[] {
  const { shop } = request;
  const length = (label: string, value: number): ManifestDimension => ({ label, value, unit: 'mm' });
  return [
    ...tool.facts.map(({ label, value, unit }) => ({ label, value, ...(unit ? { unit } : {}) })),
    ...held(tool).flatMap(({ name, section }) => sectionSizes(name, section)),
    ...(tool.end ? [length('gap', tool.end.gap)] : []),
    length('shop.fit.slide', shop.fit.slide),
    length('shop.wall', shop.wall),
    length('shop.strap.width', shop.strap.width),
    length('shop.strap.thickness', shop.strap.thickness),
    length('shop.chord-tolerance', shop.chordTolerance),
    ...(tool.saw
      ? [
          length(`${tool.saw.name} kerf`, tool.saw.kerf),
          length(`${tool.saw.name} blade`, tool.saw.blade),
          length(`${tool.saw.name} clearance`, tool.saw.clearance),
        ]
      : []),
  ];
}

/** The tubes a tool is for, each once: those it holds, and those that stop its cut. */
function held(tool: Tool): readonly { readonly name: string; readonly section: Section }[] {
  const runs = (tool.end?.stops ?? []).flatMap((stop) =>
    stop.kind === 'solid' ? [{ name: stop.id, section: stop.solid.section }] : [],
  );
  const tubes = [...tubesOf(tool).map(({ member }) => member), ...runs];
  return tubes.filter(({ name }, i) => tubes.findIndex((tube) => tube.name === name) === i);
}

const SIZES = { od: 'od', width: 'width', height: 'height', wall: 'wall', cornerRadius: 'corner radius' } as const;

const sectionSizes = (of: string, section: Section): readonly ManifestDimension[] =>
  Object.entries(section).flatMap(([key, value]) =>
    typeof value === 'number'
      ? [{ label: `${of} ${SIZES[key as keyof typeof SIZES] ?? key}`, value, unit: 'mm' as const }]
      : [],
  );
