import type { Placement } from '../geometry/placement.ts';
import { LEAST_CUT_VOLUME, LETTER_CORNER, SQUARE_FRAME } from '../geometry/tolerance.ts';
import { along, cross, dot, type Mm, type Vec2 } from '../geometry/vector.ts';
import { type Cutter, cutGroups, volumesIn } from './cut-groups.ts';
import type { EitherSolid, HullSolid, LabelSolid, MeshSolid, PrismSolid, Solid, SubtractSolid } from './expression.ts';
import { SolidFault } from './fault.ts';
import { inScope, type Kernel, type KernelHandle, type KernelLoops, type KernelSolid, type Scope } from './kernel.ts';
import { layoutLabel } from './label.ts';
import type { Mesh } from './mesh.ts';
import { allFinite, checkMesh } from './mesh-check.ts';
import { gridCoordinate, isClean, tidyMesh } from './tidy.ts';

export interface EvaluateOptions {
  /** Named in every fault. */
  readonly partName: string;
}

/**
 * Closed mesh of a solid expression, mm, coordinates on the grid that files carry; the same tree gives the same bytes.
 * Throws SolidFault (which names part and node) when a cut takes nothing away, nothing is left or a label has no room;
 * anything else thrown is a bug of the tree's maker or ours, and begins with `internal: <part>/<node>`.
 */
export function evaluate(kernel: Kernel, solid: Solid, options: EvaluateOptions): Mesh {
  if (solid.kind === 'either') return firstClean(kernel, solid, options);
  return inScope((scope) => {
    const workshop = { kernel, scope, ...options };
    return takeOut(workshop, solid.name, build(workshop, solid));
  });
}

function firstClean(kernel: Kernel, solid: EitherSolid, options: EvaluateOptions): Mesh {
  const [first, ...others] = solid.of;
  for (const construction of [first, ...others]) {
    try {
      const mesh = evaluate(kernel, construction, options);
      if (checkMesh(mesh).shells === 1) return mesh;
    } catch (fault) {
      if (!(fault instanceof SolidFault)) throw fault;
    }
  }
  return evaluate(kernel, first, options);
}

/** Volume two bodies share, mm^3; 0 when they only touch. */
export function intersectionVolume(kernel: Kernel, a: Solid | Mesh, b: Solid | Mesh): number {
  return inScope((scope) => {
    const workshop = measuring(kernel, scope);
    const [first, second] = [bodyOf(workshop, a, 'first body'), bodyOf(workshop, b, 'second body')];
    const shared = scope.keep(first.intersect(second));
    if (shared.status() !== 'NoError') throw bug(workshop, 'intersection', `kernel status ${shared.status()}`);
    return shared.isEmpty() ? 0 : Math.max(0, shared.volume());
  });
}

/** Volume of a body as the kernel evaluates it, mm^3. */
export function meshVolume(kernel: Kernel, body: Solid | Mesh): number {
  return inScope((scope) => bodyOf(measuring(kernel, scope), body, 'body').volume());
}

interface Workshop extends EvaluateOptions {
  readonly kernel: Kernel;
  readonly scope: Scope;
}

const measuring = (kernel: Kernel, scope: Scope): Workshop => ({
  kernel,
  scope,
  partName: 'measure',
});

const bodyOf = (workshop: Workshop, body: Solid | Mesh, name: string): KernelSolid =>
  'kind' in body ? build(workshop, body) : buildMesh(workshop, { kind: 'mesh', name, mesh: body });

function build(workshop: Workshop, node: Solid): KernelSolid {
  const { kernel, scope } = workshop;
  switch (node.kind) {
    case 'mesh':
      return buildMesh(workshop, node);
    case 'prism':
      return buildPrism(workshop, node);
    case 'hull':
      return buildHull(workshop, node);
    case 'label':
      return buildLabel(workshop, node);
    case 'subtract':
      return buildSubtract(workshop, node);
    case 'union':
    case 'intersect': {
      if (node.of.length === 0) throw bug(workshop, node.name, `${node.kind} of nothing`);
      const parts = node.of.map((part) => build(workshop, part));
      const join = node.kind === 'union' ? kernel.Manifold.union : kernel.Manifold.intersection;
      return settle(workshop, node.name, scope.keep(join(parts)));
    }
    case 'either':
      throw bug(workshop, node.name, 'a choice of constructions inside an expression');
    case 'place':
      return placed(workshop, node.name, build(workshop, node.of), node.at);
  }
}

function buildMesh(workshop: Workshop, node: MeshSolid): KernelSolid {
  const { kernel, scope } = workshop;
  if (!allFinite(node.mesh.positions)) demandFinite(workshop, node.name, node.mesh.positions);
  try {
    const mesh = new kernel.Mesh({
      numProp: 3,
      vertProperties: onGrid(node.mesh.positions),
      triVerts: node.mesh.triangles,
    });
    return settle(workshop, node.name, scope.keep(kernel.Manifold.ofMesh(mesh)));
  } catch (cause) {
    if (cause instanceof SolidFault || (cause instanceof Error && cause.message.startsWith('internal:'))) throw cause;
    const { openEdges, misoriented, crowdedEdges } = checkMesh(node.mesh);
    const counts = `${openEdges} open, ${misoriented} flipped, ${crowdedEdges} crowded edges`;
    throw bug(workshop, node.name, `the mesh is not closed (${counts})`, cause);
  }
}

function onGrid(positions: Float64Array): Float32Array {
  const single = new Float32Array(positions.length);
  for (let i = 0; i < single.length; i++) single[i] = gridCoordinate(positions[i]!);
  return single;
}

function buildPrism(workshop: Workshop, node: PrismSolid): KernelSolid {
  demandFinite(workshop, node.name, [node.height, ...node.loops.flat(2)]);
  if (!(node.height > 0)) throw bug(workshop, node.name, `prism height ${node.height} mm`);
  if (node.loops.length === 0 || node.loops.some((loop) => loop.length < 3)) {
    throw bug(workshop, node.name, 'a loop of less than three corners');
  }
  const polygons = loopsIn(workshop, node.loops);
  return placed(workshop, node.name, extrude(workshop, node.name, polygons, node.height), node.at);
}

/** Loops in the kernel's own memory. */
function loopsIn({ kernel, scope }: Workshop, loops: readonly (readonly Vec2[])[]): KernelLoops {
  const polygons = scope.keep(new kernel.Vector2_vec2());
  for (const loop of loops) {
    const corners = new kernel.Vector_vec2();
    for (const [x, y] of loop) corners.push_back({ x, y });
    polygons.push_back(corners);
    corners.delete();
  }
  return polygons;
}

function buildHull(workshop: Workshop, node: HullSolid): KernelSolid {
  demandFinite(workshop, node.name, node.points.flat());
  return settle(workshop, node.name, workshop.scope.keep(workshop.kernel.Manifold.hull(node.points)));
}

function buildLabel(workshop: Workshop, node: LabelSolid): KernelSolid {
  const { kernel, scope } = workshop;
  demandFinite(workshop, node.name, [...node.box, node.letter, node.stroke, node.depth, node.sink]);
  const thick = node.depth + node.sink;
  if (!(node.stroke > 0 && thick > 0)) throw bug(workshop, node.name, 'label without stroke width or depth');
  const layout = layoutLabel(node.lines, node.box, node);
  if (layout.ink.length === 0) {
    const detail = `no line of the label fits ${node.box.map((x) => x.toFixed(2)).join(' x ')} mm at a legible height`;
    throw new SolidFault(workshop.partName, node.name, { reason: 'label-does-not-fit', detail });
  }
  const inked = scope.keep(kernel.profileOf(loopsIn(workshop, layout.ink)));
  const smooth = scope.keep(inked.simplify(LETTER_CORNER));
  const letters = extrude(workshop, node.name, scope.keep(smooth._ToPolygons()), thick);
  return placed(workshop, node.name, letters, { ...node.at, origin: along(node.at.origin, node.at.z, -node.sink) });
}

function buildSubtract(workshop: Workshop, node: SubtractSolid): KernelSolid {
  const cutters = node.cuts.map((cut): Cutter => {
    const solid = build(workshop, cut);
    return { name: cut.name, solid, box: solid.boundingBox(), alone: cut.kind === 'label' };
  });
  const body = build(workshop, node.from);
  return cutGroups(cutters).reduce((left, group) => {
    const { rest, removed } = group.length === 1 ? cutOne(workshop, left, group[0]!) : cutAll(workshop, left, group);
    group.forEach(({ name }, i) => {
      if (removed[i]! > LEAST_CUT_VOLUME) return;
      const detail = `the cut takes nothing away from ${node.name}`;
      throw new SolidFault(workshop.partName, name, { reason: 'cut-removes-nothing', detail });
    });
    return settle(workshop, group.at(-1)!.name, rest);
  }, body);
}

interface Cutting {
  readonly rest: KernelSolid;
  /** mm^3, cutter by cutter. */
  readonly removed: readonly number[];
}

function cutOne({ scope }: Workshop, body: KernelSolid, { solid }: Cutter): Cutting {
  const rest = scope.keep(body.subtract(solid));
  return { rest, removed: [body.volume() - rest.volume()] };
}

function cutAll({ kernel, scope }: Workshop, body: KernelSolid, group: readonly Cutter[]): Cutting {
  const [taken, rest] = body.split(scope.keep(kernel.Manifold.compose(group.map(({ solid }) => solid))));
  scope.keep(rest);
  const boxes = group.map(({ box }) => box);
  return { rest, removed: volumesIn(scope.keep(taken).getMesh(), boxes) };
}

function extrude(workshop: Workshop, name: string, polygons: KernelHandle, height: Mm): KernelSolid {
  const solid = workshop.kernel._Extrude(polygons, height, 0, 0, { x: 1, y: 1 });
  return settle(workshop, name, workshop.scope.keep(solid));
}

/** Moves what is sound already, and so needs no looking at: the kernel does it together with the next step. */
function placed(workshop: Workshop, name: string, solid: KernelSolid, at: Placement): KernelSolid {
  const { origin, x, y, z } = at;
  demandFinite(workshop, name, [...origin, ...x, ...y, ...z]);
  const skew = Math.max(
    ...[dot(x, x) - 1, dot(y, y) - 1, dot(z, z) - 1, dot(x, y), dot(y, z), dot(z, x)].map(Math.abs),
    Math.abs(dot(cross(x, y), z) - 1),
  );
  if (skew > SQUARE_FRAME) throw bug(workshop, name, `placement is out of square by ${skew}`);
  const matrix = [...x, 0, ...y, 0, ...z, 0, ...origin, 1];
  return workshop.scope.keep(solid.transform(matrix));
}

/** Forces the kernel to work and asks it whether it did: by itself it hands on an empty solid without a word. */
function settle(workshop: Workshop, name: string, solid: KernelSolid): KernelSolid {
  const status = solid.status();
  if (status !== 'NoError') throw bug(workshop, name, `kernel status ${status}`);
  if (solid.isEmpty()) {
    throw new SolidFault(workshop.partName, name, { reason: 'nothing-left', detail: 'nothing is left of the solid' });
  }
  if (!(solid.volume() > 0)) throw bug(workshop, name, 'the solid is inside out');
  return solid;
}

/** The solid's mesh, out of the kernel's memory and tidy. */
function takeOut(workshop: Workshop, name: string, solid: KernelSolid): Mesh {
  const raw = solid.getMesh();
  const { mesh, facts } = tidyMesh({
    positions: new Float64Array(raw.vertProperties),
    triangles: new Uint32Array(raw.triVerts),
  });
  if (isClean(facts)) return mesh;
  const counts = `${facts.crowdedEdges} doubled edges, ${facts.openEdges + facts.misoriented} open, ${facts.zeroArea} flat triangles`;
  const detail = `faces of the solid touch along an edge or all but coincide (${counts})`;
  throw new SolidFault(workshop.partName, name, { reason: 'touches-itself', detail });
}

function demandFinite(workshop: Workshop, name: string, numbers: Iterable<number>): void {
  for (const n of numbers) if (!Number.isFinite(n)) throw bug(workshop, name, `a number of the solid is ${n}`);
}

const bug = (workshop: Workshop, name: string, what: string, cause?: unknown): Error =>
  new Error(`internal: ${workshop.partName}/${name}: ${what}`, cause === undefined ? undefined : { cause });
