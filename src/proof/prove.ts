import type { Shop } from '../job/job.ts';
import type { Problem } from '../job/problem.ts';
import type { Kernel } from '../solid/kernel.ts';
import type { Solution } from '../solve/solution.ts';
import type { Tool, ToolPart } from '../tooling/tool.ts';
import { standOnBed } from './bed.ts';
import { measureEdge } from './cut-edge.ts';
import { measureDatum } from './datum-face.ts';
import { type Facets, facetsOf } from './facets.ts';
import type { PartProof, ToolProof } from './facts.ts';
import { type Fit, measureFit } from './fit.ts';
import { passGates } from './gates.ts';
import { measureInsertion } from './insertion.ts';
import { measureKeptSide } from './kept-side.ts';
import { measureOverhang } from './overhang.ts';
import type { PartFiles } from './part-files.ts';
import { type Fault, type Measured, proofProblem } from './problem.ts';
import { measureSlot } from './slot.ts';
import { type Tube, tubeOf } from './tube.ts';
import { measureWall } from './wall.ts';

export type { PartFiles } from './part-files.ts';

/**
 * Measures every part of a tool on the meshes read back from its files, in print pose, against the solved job and the
 * actual tube. How the tool was made plays no part. A part whose mesh is no closed body has problems and no numbers.
 */
export function proveTool(kernel: Kernel, tool: Tool, solution: Solution, files: readonly PartFiles[]): ToolProof {
  const problems: Problem[] = [];
  const parts = tool.parts.flatMap((part): readonly PartProof[] => {
    const file = files.find((candidate) => candidate.part === part.name);
    if (!file) throw new Error(`internal: no file of part ${part.name} to prove`);
    const { value, faults } = provePart({ kernel, tool, part, shop: solution.job.shop }, file);
    problems.push(...faults.map((fault) => proofProblem(tool, part.name, fault)));
    return value ? [value] : [];
  });
  return { tool: tool.name, parts, problems };
}

interface Proving {
  readonly kernel: Kernel;
  readonly tool: Tool;
  readonly part: ToolPart;
  readonly shop: Shop;
}

/** Mesh gates first: nothing can be measured on a mesh that is no body. Then everything else, whatever fails of it. */
function provePart({ kernel, tool, part, shop }: Proving, file: PartFiles): Measured<PartProof | undefined> {
  const gate = passGates(file);
  const { facts, volumeDifference, fileDifference } = gate.value;
  if (!facts.closed || facts.zeroArea > 0 || !(facts.volume > 0)) return { value: undefined, faults: gate.faults };
  const facets = facetsOf(file.meshes[0]!.mesh, part.pose);
  const tube = tubeOf(tool, part);
  const standing = standOnBed(facets, { facts, printer: shop.printer });
  const fit = measureFit(facets, { tube, part, chordTolerance: shop.chordTolerance });
  const insertion = measureInsertion(facets, {
    kernel,
    tube,
    part,
    fit: fit.value,
    chordTolerance: shop.chordTolerance,
  });
  const features = measureFeatures(facets, { tool, part, tube, fit: fit.value });
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
    overlap: insertion.value,
    clearance: fit.value.clearance,
    ...features.value,
    thinnestWall: wall.value,
    overhangArea: overhang.value.area,
    widestOverhang: overhang.value.widest,
  };
  return {
    value,
    faults: [gate, standing, fit, insertion, features, wall, overhang].flatMap((measured) => measured.faults),
  };
}

type FeatureFacts = Pick<
  PartProof,
  'edgeDeviation' | 'edgeCover' | 'slotDeviation' | 'slotWidth' | 'datumDeviation' | 'keptSideOverlap'
>;

function measureFeatures(
  facets: Facets,
  { tool, part, tube, fit }: { readonly tool: Tool; readonly part: ToolPart; readonly tube: Tube; readonly fit: Fit },
): Measured<FeatureFacts> {
  const { end, saw, datum } = tool;
  let value: FeatureFacts = {};
  const faults: Fault[] = [];
  const take = <T>(measured: Measured<T>, facts: (found: T) => FeatureFacts): void => {
    value = { ...value, ...facts(measured.value) };
    faults.push(...measured.faults);
  };
  for (const feature of part.features) {
    if (feature.kind === 'cut-edge') {
      take(measureEdge(facets, { feature, end, tube, fit }), (edge) => ({
        edgeDeviation: edge.deviation,
        edgeCover: edge.cover,
      }));
    } else if (feature.kind === 'datum') {
      take(measureDatum(facets, { feature, datum, end }), (datumDeviation) => ({ datumDeviation }));
    } else {
      if (!saw) throw new Error(`internal: ${tool.name} has a slot and no saw`);
      take(measureSlot(facets, { feature, end, saw }), (slot) => ({
        slotDeviation: slot.deviation,
        slotWidth: slot.width,
      }));
      take(measureKeptSide(facets, { feature, end }), (keptSideOverlap) => ({ keptSideOverlap }));
    }
  }
  return { value, faults };
}
