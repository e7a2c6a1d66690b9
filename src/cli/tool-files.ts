import { type PictureMesh, picture } from '../export/picture.ts';
import { TOOL_COLOR } from '../export/picture-colors.ts';
import { layOutPlates, standAt } from '../export/plate.ts';
import { pngBytes } from '../export/png.ts';
import { stlBytes } from '../export/stl.ts';
import { type ThreemfItem, type ThreemfPackage, threemfBytes } from '../export/threemf.ts';
import { tubeGhosts } from '../export/tube-picture.ts';
import { compose, IDENTITY, inverse, type Placement, place } from '../geometry/placement.ts';
import { add, along, type Mm, scale, sub, type Vec3 } from '../geometry/vector.ts';
import type { Job } from '../job/job.ts';
import type { Outcome, Problem } from '../job/problem.ts';
import type { Kernel } from '../solid/kernel.ts';
import { meshBounds } from '../solid/mesh-check.ts';
import { placedMesh } from '../solid/placed-mesh.ts';
import type { ShapedTool, Tool } from '../tooling/tool.ts';
import { type BarePart, toolMeshes } from './tool-meshes.ts';
import { PICTURE } from './tool-result.ts';

/** One printed part as it was built, and the bytes that are written of it. */
export interface MadePart extends BarePart {
  readonly stl: Uint8Array;
}

/** A tool's parts and its 3MF: what is proved, and what is written. */
export interface MadeTool {
  readonly tool: ShapedTool;
  readonly parts: readonly MadePart[];
  readonly threemf: Uint8Array;
}

/** What all files of a job share. */
export interface FileContext {
  readonly job: Pick<Job, 'name' | 'shop'>;
  readonly madeBy: string;
  /** Seconds since 1970, when the caller wants files dated. */
  readonly sourceDateEpoch?: number;
}

/** Room between parts on the bed: a nozzle and its skirt pass between them. */
const PART_SPACING: Mm = 5;

const THUMBNAIL = { width: 256, height: 256 } as const;
const VIEW = { from: [-0.6, -1, 0.75] } as const;

/** STL and 3MF of a tool's parts, in memory. */
export const makeFiles = (tool: ShapedTool, parts: readonly BarePart[], context: FileContext): MadeTool => ({
  tool,
  parts: parts.map(({ name, mesh }) => ({ name, mesh, stl: stlBytes(mesh) })),
  threemf: toolThreemf(tool, parts, context),
});

/** Meshes, STL and 3MF of a tool, in memory. Problems: a solid that cannot be built as asked. */
export function makeTool(kernel: Kernel, tool: Tool, context: FileContext): Outcome<MadeTool> {
  const { value, problems } = toolMeshes(kernel, tool);
  return value ? { value: makeFiles(tool, value, context), problems } : { problems };
}

function toolThreemf(tool: ShapedTool, parts: readonly BarePart[], context: FileContext): Uint8Array {
  const placements = sideBySide(parts, context.job);
  return threemfBytes({
    ...packageBase(`${context.job.name}: ${tool.title}`, context),
    metadata: [
      ...applicationOf(context),
      { name: 'Tool', value: tool.name },
      { name: 'Revision', value: tool.revision },
    ],
    objects: parts.map((part) => ({ name: part.name, partNumber: part.name, mesh: part.mesh })),
    items: placements.map((placement, objectIndex) => ({ objectIndex, placement })),
    thumbnail: pngBytes(toolPicture(parts, placements, THUMBNAIL), 'quick'),
  });
}

const applicationOf = (context: FileContext): ThreemfPackage['metadata'] => [
  { name: 'Application', value: context.madeBy },
  { name: 'Job', value: context.job.name },
];

const packageBase = (
  title: string,
  { sourceDateEpoch }: FileContext,
): Pick<ThreemfPackage, 'title' | 'sourceDateEpoch'> => ({
  title,
  ...(sourceDateEpoch === undefined ? {} : { sourceDateEpoch }),
});

/**
 * PNG of a tool's parts as they lie on the bed; a tool of one part holds its tube, drawn as a ghost. Parts that stand
 * together are shown where they stand, with all their tubes.
 */
export function toolPng({ tool, parts }: MadeTool, { job }: FileContext): Uint8Array {
  const [first] = tool.parts;
  if (first && tool.joined) {
    const standing = tool.parts.map(({ pose }) => compose(inverse(first.pose), pose));
    const ghosts = tubeGhosts(tool, { ...first, tubes: tool.joined.tubes }, IDENTITY);
    return pngBytes(toolPicture(parts, standing, { ...PICTURE, ghosts }));
  }
  const [whole] = tool.wholes ?? [];
  if (whole && tool.wholes?.length === 1 && tool.parts.length === whole.parts.length) {
    const foremost = tool.parts[0]!;
    const apart = drawnApart(tool, parts);
    const ghosts = tubeGhosts(tool, { ...foremost, tubes: whole.tubes }, IDENTITY);
    return pngBytes(toolPicture(parts, apart, { ...PICTURE, ghosts }));
  }
  const placements = sideBySide(parts, job);
  const only = tool.parts.length === 1 ? tool.parts[0] : undefined;
  const ghosts = only ? tubeGhosts(tool, only, placements[0]!) : [];
  return pngBytes(toolPicture(parts, placements, { ...PICTURE, ghosts }));
}

/** Share of its way from the middle of the whole that a piece is drawn apart. */
const DRAWN_APART = 0.18;

/** Pieces where they stand, in the pose of the first, drawn apart so that their keys show. */
function drawnApart(tool: ShapedTool, parts: readonly BarePart[]): readonly Placement[] {
  const [first] = tool.parts;
  const standing = tool.parts.map(({ pose }) => compose(inverse(first!.pose), pose));
  const middles = parts.map(({ mesh }, i): Vec3 => {
    const { min, max } = meshBounds(mesh);
    return place(standing[i]!, [(min[0] + max[0]) / 2, (min[1] + max[1]) / 2, (min[2] + max[2]) / 2]);
  });
  const middle = scale(middles.reduce(add), 1 / middles.length);
  return standing.map((at, i) => ({ ...at, origin: along(at.origin, sub(middles[i]!, middle), DRAWN_APART) }));
}

/** On the bed together where they fit, else in a row beyond it: the slicer is told, and the person lays them out. */
function sideBySide(parts: readonly BarePart[], job: FileContext['job']): readonly Placement[] {
  const bounds = parts.map((part) => meshBounds(part.mesh));
  const rooms = parts.map(({ name }, i) => {
    const { min, max } = bounds[i]!;
    return { name, size: [max[0] - min[0], max[1] - min[1]] as const };
  });
  const [x, y] = job.shop.printer.bed;
  const layout = layOutPlates(rooms, [x, y], { spacing: PART_SPACING });
  const [plate] = layout.plates;
  if (plate && layout.plates.length === 1 && layout.tooLarge.length === 0) {
    const items = [...plate.items].sort((p, q) => p.part - q.part);
    return items.map((item) => standAt(bounds[item.part]!, item.at, item.turned));
  }
  let along = 0;
  return bounds.map((box, i) => {
    const at = [along, 0] as const;
    along += rooms[i]!.size[0] + PART_SPACING;
    return standAt(box, at);
  });
}

function toolPicture(
  parts: readonly BarePart[],
  placements: readonly Placement[],
  {
    ghosts = [],
    ...size
  }: { readonly width: number; readonly height: number; readonly ghosts?: readonly PictureMesh[] },
): ReturnType<typeof picture> {
  const meshes = parts.map((part, i) => ({ mesh: placedMesh(part.mesh, placements[i]!), color: TOOL_COLOR }));
  return picture([...meshes, ...ghosts], { ...size, view: VIEW });
}

/** A 3MF for each bed full of the job's parts. Problems: a part larger than the bed. */
export function plateFiles(parts: readonly BarePart[], context: FileContext): Outcome<readonly PlateFile[]> {
  const bounds = parts.map((part) => meshBounds(part.mesh));
  const [x, y] = context.job.shop.printer.bed;
  const layout = layOutPlates(
    parts.map(({ name }, i) => ({
      name,
      size: [bounds[i]!.max[0] - bounds[i]!.min[0], bounds[i]!.max[1] - bounds[i]!.min[1]],
    })),
    [x, y],
    { spacing: PART_SPACING },
  );
  if (layout.tooLarge.length > 0) {
    return { problems: layout.tooLarge.map((i) => tooLarge(parts[i]!.name, [x, y])) };
  }
  const value = layout.plates.map((plate, i): PlateFile => {
    const stem = `${context.job.name}-plate-${i + 1}`;
    const on = plate.items.map((item) => parts[item.part]!);
    const items = plate.items.map(
      (item, objectIndex): ThreemfItem => ({
        objectIndex,
        placement: standAt(bounds[item.part]!, item.at, item.turned),
      }),
    );
    const bytes = threemfBytes({
      ...packageBase(`${context.job.name}: plate ${i + 1} of ${layout.plates.length}`, context),
      metadata: applicationOf(context),
      objects: on.map((part) => ({ name: part.name, partNumber: part.name, mesh: part.mesh })),
      items,
      thumbnail: pngBytes(
        toolPicture(
          on,
          items.map((item) => item.placement),
          THUMBNAIL,
        ),
        'quick',
      ),
    });
    return { name: `${stem}.3mf`, bytes, parts: on.map((part) => part.name) };
  });
  return { value, problems: [] };
}

export interface PlateFile {
  readonly name: string;
  readonly bytes: Uint8Array;
  readonly parts: readonly string[];
}

const tooLarge = (part: string, [x, y]: readonly [Mm, Mm]): Problem => ({
  code: 'tool/larger-than-bed',
  severity: 'error',
  path: ['shop', 'printer', 'bed'],
  message: `${part} does not fit the bed of ${x} x ${y} mm either way round`,
  hint: 'build without --plate, or give the bed of the printer in shop.printer.bed',
});
