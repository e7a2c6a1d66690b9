import init, { type gp_Dir, type gp_Pnt, type OpenCascadeInstance, type TopoDS_Shape } from 'replicad-opencascadejs';
import { outlineAt, type Section } from '../../src/geometry/section.ts';
import type { Mm, Vec3 } from '../../src/geometry/vector.ts';

/**
 * The same tubes built a second time in OpenCascade: prisms and revolutions of true circles, ellipses and lines, carried
 * from step to step by the kernel's own rotations. Of our code only the outline point at u is used, and that point is
 * measured against the kernel's outline.
 */
export type Step = { readonly straight: Mm } | { readonly clr: Mm; readonly deg: number; readonly toward: number };

export interface Plan {
  readonly section: Section;
  readonly at: Vec3;
  readonly heading: Vec3;
  readonly up: Vec3;
  readonly steps: readonly Step[];
}

interface KernelFrame {
  readonly origin: gp_Pnt;
  readonly heading: gp_Dir;
  readonly up: gp_Dir;
}

/** One stretch of a tube in the kernel: its solid, and its generators with arc length along the centerline. */
interface Stretch {
  readonly solid: TopoDS_Shape;
  readonly generator: (a: Mm, b: Mm) => { readonly edge: TopoDS_Shape; readonly sOf: (p: gp_Pnt) => Mm };
}

export interface KernelTube {
  readonly section: Section;
  readonly stretches: readonly Stretch[];
  readonly length: Mm;
  readonly outline: TopoDS_Shape;
  readonly start: KernelFrame;
}

export interface SecondKernel {
  readonly tube: (plan: Plan) => KernelTube;
  /** s of the first crossing of the generator at u with any of the solids, walked from `from` outward; NaN if none. */
  readonly firstCut: (
    tube: KernelTube,
    solids: readonly TopoDS_Shape[],
    at: { u: number; depth: Mm; from: 'start' | 'end' },
  ) => Mm;
  readonly outlineMiss: (tube: KernelTube, u: number) => Mm;
  readonly solidsOf: (tube: KernelTube) => readonly TopoDS_Shape[];
  readonly planeFace: (point: Vec3, normal: Vec3, reach: Mm) => TopoDS_Shape;
  /** Edges in which two sets of solids meet. */
  readonly seam: (first: readonly TopoDS_Shape[], second: readonly TopoDS_Shape[]) => TopoDS_Shape;
  readonly distanceTo: (shape: TopoDS_Shape, p: Vec3) => Mm;
}

const rad = (deg: number): number => (deg * Math.PI) / 180;

export async function secondKernel(): Promise<SecondKernel> {
  const oc = await init();
  const tube = (plan: Plan): KernelTube => buildTube(oc, plan);
  const meets = (edge: TopoDS_Shape, solid: TopoDS_Shape): readonly gp_Pnt[] => {
    const section = new oc.BRepAlgoAPI_Section(edge, solid);
    section.Build();
    if (section.HasErrors()) throw new Error('the second kernel could not intersect');
    return verticesOf(oc, section.Shape());
  };
  return {
    tube,
    firstCut: (of, solids, { u, depth, from }) => {
      const [a, b] = outlineAt(of.section, u, depth).point;
      const found = of.stretches.flatMap((stretch) => {
        const { edge, sOf } = stretch.generator(a, b);
        return solids.flatMap((solid) => meets(edge, solid).map(sOf));
      });
      if (found.length === 0) return Number.NaN;
      return from === 'start' ? Math.min(...found) : Math.max(...found);
    },
    outlineMiss: (of, u) => {
      const [a, b] = outlineAt(of.section, u).point;
      return pointToShape(oc, beside(oc, of.start, a, b), of.outline);
    },
    solidsOf: (of) => of.stretches.map((stretch) => stretch.solid),
    planeFace: (point, normal, reach) => {
      const plane = new oc.gp_Pln(new oc.gp_Pnt(...point), new oc.gp_Dir(...normal));
      return new oc.BRepBuilderAPI_MakeFace(plane, -reach, reach, -reach, reach).Face();
    },
    seam: (first, second) => {
      const section = new oc.BRepAlgoAPI_Section(compound(oc, first), compound(oc, second));
      section.Build();
      return section.Shape();
    },
    distanceTo: (shape, p) => pointToShape(oc, new oc.gp_Pnt(...p), shape),
  };
}

function buildTube(oc: OpenCascadeInstance, plan: Plan): KernelTube {
  const start: KernelFrame = {
    origin: new oc.gp_Pnt(...plan.at),
    heading: new oc.gp_Dir(...plan.heading),
    up: new oc.gp_Dir(...plan.up),
  };
  const stretches: Stretch[] = [];
  let frame = start;
  let s0 = 0;
  for (const step of plan.steps) {
    const made =
      'straight' in step
        ? straightStretch(oc, plan.section, { frame, s0, length: step.straight })
        : bendStretch(oc, plan.section, { frame, s0, step });
    stretches.push(made.stretch);
    frame = made.end;
    s0 += 'straight' in step ? step.straight : step.clr * rad(step.deg);
  }
  return { section: plan.section, stretches, length: s0, outline: outlineWire(oc, plan.section, start), start };
}

type Made = { readonly stretch: Stretch; readonly end: KernelFrame };

function straightStretch(
  oc: OpenCascadeInstance,
  section: Section,
  at: { frame: KernelFrame; s0: Mm; length: Mm },
): Made {
  const { frame, s0, length } = at;
  const step = new oc.gp_Vec(frame.heading).Multiplied(length);
  const solid = new oc.BRepPrimAPI_MakePrism(outlineFace(oc, section, frame), step, false, true).Shape();
  const generator = (a: Mm, b: Mm) => {
    const from = beside(oc, frame, a, b);
    const edge = new oc.BRepBuilderAPI_MakeEdge(from, from.Translated(step)).Edge();
    return { edge, sOf: (p: gp_Pnt): Mm => s0 + from.Distance(p) };
  };
  return { stretch: { solid, generator }, end: { ...frame, origin: frame.origin.Translated(step) } };
}

function bendStretch(
  oc: OpenCascadeInstance,
  section: Section,
  at: { frame: KernelFrame; s0: Mm; step: { clr: Mm; deg: number; toward: number } },
): Made {
  const { frame, s0, step } = at;
  // `toward` turns clockwise from up looking along the heading: about the heading by the right-hand rule.
  const toward = frame.up.Rotated(new oc.gp_Ax1(frame.origin, frame.heading), rad(step.toward));
  const center = frame.origin.Translated(new oc.gp_Vec(toward).Multiplied(step.clr));
  const axis = new oc.gp_Ax1(center, frame.heading.Crossed(toward));
  const solid = new oc.BRepPrimAPI_MakeRevol(outlineFace(oc, section, frame), axis, rad(step.deg), false).Shape();
  const generator = (a: Mm, b: Mm) => {
    const from = beside(oc, frame, a, b);
    // Center of the generator's own circle: the bend's center lifted to its plane.
    const lift = new oc.gp_Vec(center, from).Dot(new oc.gp_Vec(axis.Direction()));
    const middle = center.Translated(new oc.gp_Vec(axis.Direction()).Multiplied(lift));
    const arm = new oc.gp_Vec(middle, from);
    const circle = new oc.gp_Circ(new oc.gp_Ax2(middle, axis.Direction(), new oc.gp_Dir(arm)), arm.Magnitude());
    const edge = new oc.BRepBuilderAPI_MakeEdge(circle, 0, rad(step.deg)).Edge();
    const sOf = (p: gp_Pnt): Mm =>
      s0 + step.clr * arm.AngleWithRef(new oc.gp_Vec(middle, p), new oc.gp_Vec(axis.Direction()));
    return { edge, sOf };
  };
  const turned = {
    origin: frame.origin.Rotated(axis, rad(step.deg)),
    heading: frame.heading.Rotated(axis, rad(step.deg)),
    up: frame.up.Rotated(axis, rad(step.deg)),
  };
  return { stretch: { solid, generator }, end: turned };
}

/** Point of the frame's plane, a to the right (heading x up) and b up. */
function beside(oc: OpenCascadeInstance, frame: KernelFrame, a: Mm, b: Mm): gp_Pnt {
  const right = new oc.gp_Vec(frame.heading.Crossed(frame.up)).Multiplied(a);
  return frame.origin.Translated(right).Translated(new oc.gp_Vec(frame.up).Multiplied(b));
}

function outlineWire(oc: OpenCascadeInstance, s: Section, frame: KernelFrame): TopoDS_Shape {
  if (s.kind === 'round') {
    const circle = new oc.gp_Circ(new oc.gp_Ax2(frame.origin, frame.heading, frame.up), s.od / 2);
    return new oc.BRepBuilderAPI_MakeWire(new oc.BRepBuilderAPI_MakeEdge(circle).Edge()).Wire();
  }
  if (s.kind === 'ellipse') {
    const long = s.width >= s.height ? frame.heading.Crossed(frame.up) : frame.up;
    const curve = new oc.gp_Elips(
      new oc.gp_Ax2(frame.origin, frame.heading, long),
      Math.max(s.width, s.height) / 2,
      Math.min(s.width, s.height) / 2,
    );
    return new oc.BRepBuilderAPI_MakeWire(new oc.BRepBuilderAPI_MakeEdge(curve).Edge()).Wire();
  }
  const r = s.kind === 'rectangle' ? s.cornerRadius : Math.min(s.width, s.height) / 2;
  const [hx, hy] = [s.width / 2 - r, s.height / 2 - r];
  const wire = new oc.BRepBuilderAPI_MakeWire();
  const point = (a: Mm, b: Mm): gp_Pnt => beside(oc, frame, a, b);
  const line = (p: readonly [Mm, Mm], q: readonly [Mm, Mm]): void => {
    if (Math.hypot(p[0] - q[0], p[1] - q[1]) > 1e-9)
      wire.Add(new oc.BRepBuilderAPI_MakeEdge(point(...p), point(...q)).Edge());
  };
  // Corner by corner: the arc from one axis direction to the next, then the flat that follows.
  const around = [
    [1, 1],
    [-1, 1],
    [-1, -1],
    [1, -1],
  ] as const;
  around.forEach(([sx, sy], i) => {
    const [nx, ny] = around[(i + 1) % 4]!;
    const odd = i % 2 === 1;
    const first: readonly [Mm, Mm] = odd ? [sx * hx, sy * (hy + r)] : [sx * (hx + r), sy * hy];
    const last: readonly [Mm, Mm] = odd ? [sx * (hx + r), sy * hy] : [sx * hx, sy * (hy + r)];
    const mid = point(sx * (hx + r * Math.SQRT1_2), sy * (hy + r * Math.SQRT1_2));
    if (r > 0)
      wire.Add(
        new oc.BRepBuilderAPI_MakeEdge(new oc.GC_MakeArcOfCircle(point(...first), mid, point(...last)).Value()).Edge(),
      );
    line(last, odd ? [nx * (hx + r), ny * hy] : [nx * hx, ny * (hy + r)]);
  });
  return wire.Wire();
}

const outlineFace = (oc: OpenCascadeInstance, s: Section, frame: KernelFrame): TopoDS_Shape =>
  new oc.BRepBuilderAPI_MakeFace(oc.TopoDS.Wire(outlineWire(oc, s, frame)), true).Face();

function verticesOf(oc: OpenCascadeInstance, shape: TopoDS_Shape): readonly gp_Pnt[] {
  const points: gp_Pnt[] = [];
  const walk = new oc.TopExp_Explorer(shape, oc.TopAbs_ShapeEnum.TopAbs_VERTEX, oc.TopAbs_ShapeEnum.TopAbs_SHAPE);
  for (; walk.More(); walk.Next()) points.push(oc.BRep_Tool.Pnt(oc.TopoDS.Vertex(walk.Current())));
  return points;
}

function compound(oc: OpenCascadeInstance, shapes: readonly TopoDS_Shape[]): TopoDS_Shape {
  const all = new oc.TopoDS_Compound();
  const builder = new oc.TopoDS_Builder();
  builder.MakeCompound(all);
  for (const shape of shapes) builder.Add(all, shape);
  return all;
}

function pointToShape(oc: OpenCascadeInstance, p: gp_Pnt, shape: TopoDS_Shape): Mm {
  const between = new oc.BRepExtrema_DistShapeShape(new oc.BRepBuilderAPI_MakeVertex(p).Vertex(), shape);
  if (!between.IsDone()) throw new Error('the second kernel could not measure');
  return between.Value();
}
