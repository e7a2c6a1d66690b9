import { besideAt } from '../geometry/centerline.ts';
import { loopPoints } from '../geometry/flat-path.ts';
import { flatMesh } from '../solid/flat-mesh.ts';
import type { Mesh } from '../solid/mesh.ts';
import { meshBounds } from '../solid/mesh-check.ts';
import { placedMesh } from '../solid/placed-mesh.ts';
import type { Solution } from '../solve/solution.ts';
import { type Tool, type ToolPart, tubesOf, type Whole } from '../tooling/tool.ts';
import { PIECE_COLORS, PLATE_COLOR, TOOL_COLOR } from './picture-colors.ts';
import { pieceMesh } from './piece-mesh.ts';
import type { SheetTool } from './sheet-source.ts';
import { tubeGhosts } from './tube-picture.ts';
import type { ViewData, ViewItem } from './view-data.ts';

/** The script that draws the view in a page, with its hash (base64 of SHA-256), which the page's policy lets in and no other. */
export interface ViewScript {
  readonly text: string;
  readonly sha256: string;
}

/** Everything of a job that can be turned on the page: pieces as they are cut, flat parts and tools where they sit on their tubes. */
export function viewData(solution: Solution, tools: readonly SheetTool[]): ViewData {
  const pieces = solution.pieces.map((piece, i): ViewItem => {
    const { name, centerline } = piece.member;
    return {
      group: 'piece',
      name,
      label: String(i + 1),
      labelAt: besideAt(centerline, (piece.from + piece.to) / 2, 0, 0),
      with: [],
      color: PIECE_COLORS[i % PIECE_COLORS.length]!,
      mesh: pieceMesh(piece),
    };
  });
  const known = new Set(pieces.map(({ name }) => name));
  return {
    items: [
      ...pieces,
      ...plateItems(solution, new Set([...known, ...tools.map(({ tool }) => tool.name)])),
      ...tools.flatMap((tool) => toolItems(tool, known)),
    ],
  };
}

/** Flat parts where they sit, in the gray of sheet. */
const plateItems = ({ plates }: Solution, taken: ReadonlySet<string>): readonly ViewItem[] =>
  plates.map(({ name, spec, at, outline, holes }) => {
    const flat = flatMesh(
      {
        outline: loopPoints(outline, PLATE_CHORD),
        holes: holes.map(({ loop }) => loopPoints(loop, PLATE_CHORD)),
      },
      spec.thickness,
    );
    const mesh = placedMesh(flat, at);
    const { min, max } = meshBounds(mesh);
    return {
      group: 'plate',
      // A member or a tool may bear a plate's name.
      name: taken.has(name) ? `${name} (flat part)` : name,
      label: name,
      labelAt: [(min[0] + max[0]) / 2, (min[1] + max[1]) / 2, (min[2] + max[2]) / 2],
      with: [],
      color: PLATE_COLOR,
      mesh,
    };
  });

/** mm. Fine enough to look round on a screen. */
const PLATE_CHORD = 0.1;

/** A tool with all its parts, and what of its tubes no piece shows. */
function toolItems({ tool, meshes = [] }: SheetTool, pieces: ReadonlySet<string>): readonly ViewItem[] {
  const parts = tool.parts.flatMap((part) => {
    const mesh = meshes.find(({ name }) => name === part.name)?.mesh;
    return mesh ? [{ part, mesh: placedMesh(mesh, part.pose) }] : [];
  });
  if (parts.length === 0) return [];
  const mesh = joined(parts.map((part) => part.mesh));
  const { min, max } = meshBounds(mesh);
  const held = tubesOf(tool).map(({ member }) => member.name);
  // A member may bear a tool's name.
  const name = pieces.has(tool.name) ? `${tool.name} (tool)` : tool.name;
  return [
    {
      group: 'tool',
      name,
      label: tool.name,
      labelAt: [(min[0] + max[0]) / 2, (min[1] + max[1]) / 2, (min[2] + max[2]) / 2],
      caption: `${tool.title}; revision ${tool.revision}`,
      with: [...new Set(held)].filter((member) => pieces.has(member)),
      color: TOOL_COLOR,
      mesh,
    },
    ...[...parts.map(({ part }) => part), ...(tool.wholes ?? []).map(asPart(tool))].flatMap((part) =>
      ghostItems(tool, part, { of: name, pieces }),
    ),
  ];
}

/** What pieces are put together to holds the tubes: in the pose of the first of them. */
const asPart =
  ({ parts }: Tool) =>
  (whole: Whole): ToolPart => {
    const first = parts.find(({ name }) => name === whole.parts[0])!;
    return { ...first, name: whole.name, tubes: whole.tubes };
  };

function joined(meshes: readonly Mesh[]): Mesh {
  const positions = new Float64Array(meshes.reduce((sum, mesh) => sum + mesh.positions.length, 0));
  const triangles = new Uint32Array(meshes.reduce((sum, mesh) => sum + mesh.triangles.length, 0));
  let [vertex, corner] = [0, 0];
  for (const mesh of meshes) {
    positions.set(mesh.positions, 3 * vertex);
    triangles.set(
      mesh.triangles.map((index) => index + vertex),
      corner,
    );
    vertex += mesh.positions.length / 3;
    corner += mesh.triangles.length;
  }
  return { positions, triangles };
}

function ghostItems(
  tool: Tool,
  part: ToolPart,
  { of, pieces }: { readonly of: string; readonly pieces: ReadonlySet<string> },
): readonly ViewItem[] {
  return tubeGhosts(tool, part, part.pose).flatMap((ghost, i): readonly ViewItem[] => {
    if (ghost.part === 'kept' && pieces.has(ghost.member)) return [];
    const group = ghost.part === 'waste' ? 'waste' : 'tube';
    return [{ group, name: `${group} ${i + 1} of ${part.name}`, with: [of], color: ghost.color, mesh: ghost.mesh }];
  });
}
