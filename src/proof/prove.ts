import type { Job, Shop } from '../job/job.ts';
import type { Problem } from '../job/problem.ts';
import type { Kernel } from '../solid/kernel.ts';
import type { ShapedPart, ShapedTool } from '../tooling/tool.ts';
import { standOnBed } from './bed.ts';
import { facetsOf } from './facets.ts';
import type { PartProof, ToolProof } from './facts.ts';
import { measureFeatures } from './features.ts';
import { passGates } from './gates.ts';
import { heldFacts, measureHeld } from './held.ts';
import { measureJoined, worseJoined } from './joined.ts';
import { measureOverhang } from './overhang.ts';
import type { PartFiles } from './part-files.ts';
import { type Measured, proofProblem } from './problem.ts';
import { measureWall } from './wall.ts';

export type { PartFiles } from './part-files.ts';

/**
 * Measures every part of a tool on the meshes read back from its files, in print pose, against the solved job and the
 * actual tube. How the tool was made plays no part. A part whose mesh is no closed body has problems and no numbers.
 */
export function proveTool(
  kernel: Kernel,
  tool: ShapedTool,
  { job }: { readonly job: Pick<Job, 'shop'> },
  files: readonly PartFiles[],
): ToolProof {
  const problems: Problem[] = [];
  const { shop } = job;
  const parts = tool.parts.flatMap((part): readonly PartProof[] => {
    const { value, faults } = provePart({ kernel, tool, part, shop }, fileOf(part, files));
    problems.push(...faults.map((fault) => proofProblem(tool, part.name, fault)));
    return value ? [value] : [];
  });
  // What is no body cannot be put together either.
  if (parts.length < tool.parts.length) return { tool: tool.name, parts, problems };
  const standing = tool.parts.map((part) => ({ ...part, mesh: fileOf(part, files).meshes[0]!.mesh }));
  const together = [
    ...(tool.joined ? [{ ...tool.joined, name: tool.name, parts: standing }] : []),
    ...(tool.wholes ?? []).map((whole) => ({
      ...whole,
      parts: standing.filter(({ name }) => whole.parts.includes(name)),
    })),
  ].map((joined) => ({ ...measureJoined(joined.parts, { kernel, tool, joined, shop }), of: joined.name }));
  problems.push(...together.flatMap(({ of, faults }) => faults.map((fault) => proofProblem(tool, of, fault))));
  const [first, ...others] = together.map(({ value }) => value);
  return { tool: tool.name, parts, ...(first ? { joined: others.reduce(worseJoined, first) } : {}), problems };
}

function fileOf(part: ShapedPart, files: readonly PartFiles[]): PartFiles {
  const file = files.find((candidate) => candidate.part === part.name);
  if (!file) throw new Error(`internal: no file of part ${part.name} to prove`);
  return file;
}

interface Proving {
  readonly kernel: Kernel;
  readonly tool: ShapedTool;
  readonly part: ShapedPart;
  readonly shop: Shop;
}

/** Mesh gates first: nothing can be measured on a mesh that is no body. Then everything else, whatever fails of it. */
function provePart({ kernel, tool, part, shop }: Proving, file: PartFiles): Measured<PartProof | undefined> {
  const gate = passGates(file);
  const { facts, volumeDifference, fileDifference } = gate.value;
  if (!facts.closed || facts.zeroArea > 0 || !(facts.volume > 0)) return { value: undefined, faults: gate.faults };
  const facets = facetsOf(file.meshes[0]!.mesh, part.pose);
  const standing = standOnBed(facets, { facts, printer: shop.printer });
  const held = part.tubes.map((tube) =>
    measureHeld(facets, { kernel, held: tube, chordTolerance: shop.chordTolerance }),
  );
  const features = measureFeatures(facets, { features: part.features, tool, held: held.map(({ value }) => value) });
  const wall = measureWall(facets, part);
  const overhang = measureOverhang(facets);
  const value: PartProof = {
    part: part.name,
    triangles: facts.triangles,
    vertices: facts.vertices,
    closed: facts.closed,
    shells: facts.shells,
    volume: facts.volume,
    volumeDifference,
    fileDifference,
    size: standing.value.size,
    bedArea: standing.value.bedArea,
    ...heldFacts(held.map(({ value }) => value)),
    ...features.value,
    thinnestWall: wall.value,
    overhangArea: overhang.value.area,
    widestOverhang: overhang.value.widest,
  };
  return {
    value,
    faults: [gate, standing, ...held, features, wall, overhang].flatMap((measured) => measured.faults),
  };
}
