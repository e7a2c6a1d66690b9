import init, { type OpenCascadeInstance, type TopoDS_Shape, type TopoDS_Wire } from 'replicad-opencascadejs';
import { beforeAll, expect, test } from 'vitest';
import type { Section } from '../../src/geometry/section.ts';
import type { Mm, Vec3 } from '../../src/geometry/vector.ts';
import type { RunItem } from '../../src/job/job.ts';
import type { CutEnd } from '../../src/solve/solution.ts';
import { cope, cutOf, jobOf, oval, rectangle, round, runTube, sAt, solved, straight, taper } from '../support/jobs.ts';
import { worst } from '../support/measure.ts';

/** mm. What the two kernels may differ by. */
const AGREE: Mm = 0.001;

let oc: OpenCascadeInstance;
beforeAll(async () => {
  oc = await init();
});

/** Wire of a round or sharp-cornered section in the plane z. */
function wireAt(section: Section, z: Mm): TopoDS_Shape {
  if (section.kind === 'round') {
    const circle = new oc.gp_Circ(new oc.gp_Ax2(new oc.gp_Pnt(0, 0, z), new oc.gp_Dir(0, 0, 1)), section.od / 2);
    return new oc.BRepBuilderAPI_MakeWire(new oc.BRepBuilderAPI_MakeEdge(circle).Edge()).Wire();
  }
  if (section.kind !== 'rectangle') throw new Error('no wire for it');
  const [x, y] = [section.width / 2, section.height / 2];
  return wireThrough([
    [x, y, z],
    [-x, y, z],
    [-x, -y, z],
    [x, -y, z],
  ]);
}

/** Closed wire of straight edges. */
function wireThrough(corners: readonly Vec3[]): TopoDS_Wire {
  const points = corners.map((p) => new oc.gp_Pnt(...p));
  const wire = new oc.BRepBuilderAPI_MakeWire();
  points.forEach((p, i) => {
    wire.Add(new oc.BRepBuilderAPI_MakeEdge(p, points[(i + 1) % points.length]!).Edge());
  });
  return wire.Wire();
}

const LONG: Mm = 120;

/** A branch of od 24 that comes down aslant on a taper from z = 0 up to LONG. */
const copedOnto = (item: RunItem, from: Section): CutEnd =>
  cutOf(
    solved(
      jobOf(
        [
          runTube('r', from, { at: [0, 0, 0], heading: [0, 0, 1], up: [0, 1, 0], run: [item] }),
          runTube('b', round(24), { at: [150, 6, 40], heading: [-1, 0, 0.2], up: [0, 1, 0], run: [straight(150)] }),
        ],
        [cope('b.end', ['r'], 0)],
      ),
    ),
    'b.end',
  );

interface Line {
  readonly start: Vec3;
  readonly way: Vec3;
}

/** Lines of that branch's outside, worked out here. */
function branchLines(): readonly (Line & { readonly u: number })[] {
  const h = Math.hypot(1, 0.2);
  const way: Vec3 = [-1 / h, 0, 0.2 / h];
  // right = heading x up.
  const right: Vec3 = [-way[2], 0, way[0]];
  return Array.from({ length: 15 }, (_, i) => {
    const u = (i + 0.37) / 15;
    const [a, b] = [12 * Math.sin(2 * Math.PI * u), 12 * Math.cos(2 * Math.PI * u)];
    return { u, start: [150 + right[0] * a, 6 + b, 40 + right[2] * a] as const, way };
  });
}

/** How far along a line it first meets a shape of the second kernel; NaN where it does not. */
function firstHit(shape: TopoDS_Shape, { start, way }: Line): Mm {
  const to = [0, 1, 2].map((k) => start[k]! + 150 * way[k]!) as unknown as Vec3;
  const edge = new oc.BRepBuilderAPI_MakeEdge(new oc.gp_Pnt(...start), new oc.gp_Pnt(...to)).Edge();
  const section = new oc.BRepAlgoAPI_Section(edge, shape);
  section.Build();
  const walk = new oc.TopExp_Explorer(
    section.Shape(),
    oc.TopAbs_ShapeEnum.TopAbs_VERTEX,
    oc.TopAbs_ShapeEnum.TopAbs_SHAPE,
  );
  let first = Number.NaN;
  for (; walk.More(); walk.Next()) {
    const s = new oc.gp_Pnt(...start).Distance(oc.BRep_Tool.Pnt(oc.TopoDS.Vertex(walk.Current())));
    if (!(first <= s)) first = s;
  }
  return first;
}

test.each([
  ['a cone', round(90), round(50)],
  ['a pyramid', rectangle(90, 70, 0), rectangle(50, 60, 0)],
] as const)(
  'a branch coped onto %s ends where its generators meet a ruled loft of the second kernel',
  (name, from, to) => {
    const end = copedOnto(taper(from, to, LONG), from);
    const loft = new oc.BRepOffsetAPI_ThruSections(true, true, 1e-7);
    loft.AddWire(oc.TopoDS.Wire(wireAt(from, 0)));
    loft.AddWire(oc.TopoDS.Wire(wireAt(to, 120)));
    loft.Build();
    const solid = loft.Shape();
    const pairs = branchLines().map(({ u, start, way }): [number, number] => [
      firstHit(solid, { start, way }),
      sAt(end, u, 'outer'),
    ]);
    expect(worst(name, pairs)).toBeLessThan(AGREE);
  },
);

/** A section as four arcs and the corners of its core, in the plane z, moved aside by `off`. */
interface Rounded {
  readonly hx: Mm;
  readonly hy: Mm;
  readonly r: Mm;
  readonly z: Mm;
  readonly off: readonly [Mm, Mm];
}

const QUARTERS = [
  [1, 1, 0],
  [-1, 1, 1],
  [-1, -1, 2],
  [1, -1, 3],
] as const;

/** Quarter arc about a corner of the core, by the angle from +x. */
function quarterArc({ hx, hy, r, z, off }: Rounded, [sx, sy, i]: (typeof QUARTERS)[number]): TopoDS_Shape {
  const axes = new oc.gp_Ax2(
    new oc.gp_Pnt(sx * hx + off[0], sy * hy + off[1], z),
    new oc.gp_Dir(0, 0, 1),
    new oc.gp_Dir(1, 0, 0),
  );
  const circle = new oc.gp_Circ(axes, r);
  const edge = new oc.BRepBuilderAPI_MakeEdge(circle, (i * Math.PI) / 2, ((i + 1) * Math.PI) / 2).Edge();
  return new oc.BRepBuilderAPI_MakeWire(edge).Wire();
}

/**
 * The side of a taper between two such sections as faces of the second kernel: ruled ones between quarter arcs of equal
 * angle, and flat ones between the flats, triangles where one of them is a point. That rulings join equal angles is what
 * we define a taper by; that this is the hull of both ends is not assumed here.
 */
function sideFaces(from: Rounded, to: Rounded): readonly TopoDS_Shape[] {
  const ruled = QUARTERS.map((quarter) => {
    const loft = new oc.BRepOffsetAPI_ThruSections(false, true, 1e-7);
    for (const section of [from, to]) loft.AddWire(oc.TopoDS.Wire(quarterArc(section, quarter)));
    loft.Build();
    return loft.Shape();
  });
  const point = ({ hx, hy, r, z, off }: Rounded, [sx, sy]: readonly [number, number], up: boolean): Vec3 =>
    up ? [sx * hx + off[0], sy * (hy + r) + off[1], z] : [sx * (hx + r) + off[0], sy * hy + off[1], z];
  const sides = [
    { up: true, ends: [[1, 1] as const, [-1, 1] as const] },
    { up: true, ends: [[1, -1] as const, [-1, -1] as const] },
    { up: false, ends: [[1, 1] as const, [1, -1] as const] },
    { up: false, ends: [[-1, 1] as const, [-1, -1] as const] },
  ] as const;
  const flats = sides.flatMap(({ up, ends: [p, q] }) => {
    const loop = [point(from, p, up), point(from, q, up), point(to, q, up), point(to, p, up)];
    const corners = loop.filter((a, i) => {
      const b = loop[(i + 1) % 4]!;
      return Math.hypot(a[0] - b[0], a[1] - b[1], a[2] - b[2]) > 1e-6;
    });
    if (corners.length < 3) return [];
    return [new oc.BRepBuilderAPI_MakeFace(wireThrough(corners), true).Face()];
  });
  return [...ruled, ...flats];
}

const rounded = (section: Section, z: Mm, off: readonly [Mm, Mm] = [0, 0]): Rounded => {
  if (section.kind === 'round') return { hx: 0, hy: 0, r: section.od / 2, z, off };
  if (section.kind === 'flat-oval') {
    const r = Math.min(section.width, section.height) / 2;
    return { hx: section.width / 2 - r, hy: section.height / 2 - r, r, z, off };
  }
  if (section.kind !== 'rectangle') throw new Error('no arcs and flats');
  const r = section.cornerRadius;
  return { hx: section.width / 2 - r, hy: section.height / 2 - r, r, z, off };
};

test.each([
  ['round to oval', round(80), oval(120, 50), [0, 0]],
  ['oval to oval, turned', oval(100, 50), oval(60, 90), [0, 0]],
  ['round to rectangle', round(90), rectangle(60, 50, 6), [0, 0]],
  ['round to oval, eccentric', round(80), oval(90, 60), [8, -5]],
] as const)(
  'a branch coped onto a taper, %s, ends where its generators meet its ruled and flat faces',
  (name, from, to, off) => {
    const end = copedOnto(taper(from, to, LONG, off), from);
    // The run heads along z with up along y: its right is along -x.
    const faces = sideFaces(rounded(from, 0), rounded(to, LONG, [-off[0], off[1]]));
    const pairs = branchLines().map((line): [number, number] => {
      const hits = faces.map((face) => firstHit(face, line)).filter((s) => Number.isFinite(s));
      return [Math.min(...hits), sAt(end, line.u, 'outer')];
    });
    expect(worst(name, pairs)).toBeLessThan(AGREE);
  },
);

test('the comparison of tapers can fail: a taper a millimeter larger is told', () => {
  const end = copedOnto(taper(round(80), oval(120, 50), LONG), round(80));
  const faces = sideFaces(rounded(round(80), 0), rounded(oval(122, 52), LONG));
  const [line] = branchLines();
  const hit = Math.min(...faces.map((face) => firstHit(face, line!)).filter((s) => Number.isFinite(s)));
  expect(Math.abs(hit - sAt(end, line!.u, 'outer'))).toBeGreaterThan(0.1);
});
