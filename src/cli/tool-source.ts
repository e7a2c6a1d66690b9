import { type ManifestDimension, sha256 } from '../export/manifest.ts';
import type { Section } from '../geometry/section.ts';
import { TOOL_LOOKS_AT } from '../tooling/registry.ts';
import type { ToolRequest } from '../tooling/request.ts';
import type { Tool } from '../tooling/tool.ts';

/** What goes into a tool's files besides the tool itself. */
export interface ToolSettings {
  /** Hash of this program's code. */
  readonly program: string;
  readonly madeBy: string;
  readonly sourceDateEpoch?: number;
}

/**
 * Left out of the hashes: places in the job file, which shape nothing; the curves, which follow from the stops, the member
 * and the chord tolerance; and the whole job, of which the parts a tool looks at are taken one by one.
 */
const LEFT_OUT = new Set(['path', 'curves', 'solution']);

/** SHA-256 over everything a tool and its files depend on: the same hash, the same bytes. */
export function toolSource(request: ToolRequest, { program, madeBy, sourceDateEpoch }: ToolSettings): string {
  const { solution, piece } = request;
  const { name, units } = solution.job;
  const job = TOOL_LOOKS_AT[request.kind] === 'end' ? { name, units } : { ...solution };
  // A cut at the piece's other end counts by where it lies, which `from` and `to` say.
  const bare = { ...piece, startEnd: piece.startEnd?.id, finishEnd: piece.finishEnd?.id };
  return hashOf({ program, madeBy, sourceDateEpoch, job, request: { ...request, piece: bare } });
}

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
  const { shop, end, saw } = request;
  const length = (label: string, value: number): ManifestDimension => ({ label, value, unit: 'mm' });
  const runs = end.stops.flatMap((stop) => (stop.kind === 'solid' ? sectionSizes(stop.id, stop.solid.section) : []));
  return [
    ...tool.facts.map(({ label, value, unit }) => ({ label, value, ...(unit ? { unit } : {}) })),
    ...sectionSizes(end.member.name, end.member.section),
    ...runs,
    length('gap', end.gap),
    length('shop.fit.slide', shop.fit.slide),
    length('shop.wall', shop.wall),
    length('shop.strap.width', shop.strap.width),
    length('shop.strap.thickness', shop.strap.thickness),
    length('shop.chord-tolerance', shop.chordTolerance),
    ...(tool.saw
      ? [
          length(`${saw.name} kerf`, saw.kerf),
          length(`${saw.name} blade`, saw.blade),
          length(`${saw.name} clearance`, saw.clearance),
        ]
      : []),
  ];
}

const SIZES = { od: 'od', width: 'width', height: 'height', wall: 'wall', cornerRadius: 'corner radius' } as const;

const sectionSizes = (of: string, section: Section): readonly ManifestDimension[] =>
  Object.entries(section).flatMap(([key, value]) =>
    typeof value === 'number'
      ? [{ label: `${of} ${SIZES[key as keyof typeof SIZES] ?? key}`, value, unit: 'mm' as const }]
      : [],
  );
