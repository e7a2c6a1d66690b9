import init, { type OpenCascadeInstance, type TopoDS_Shape } from 'replicad-opencascadejs';
import { beforeAll, expect, test } from 'vitest';
import type { Section } from '../../src/geometry/section.ts';
import type { Mm } from '../../src/geometry/vector.ts';
import { cope, cutOf, jobOf, rectangle, round, runTube, sAt, solved, straight, taper } from '../support/jobs.ts';
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
  const corners = [
    [x, y],
    [-x, y],
    [-x, -y],
    [x, -y],
  ].map(([a, b]) => new oc.gp_Pnt(a!, b!, z));
  const wire = new oc.BRepBuilderAPI_MakeWire();
  corners.forEach((p, i) => {
    wire.Add(new oc.BRepBuilderAPI_MakeEdge(p, corners[(i + 1) % 4]!).Edge());
  });
  return wire.Wire();
}

test.each([
  ['a cone', round(90), round(50)],
  ['a pyramid', rectangle(90, 70, 0), rectangle(50, 60, 0)],
] as const)(
  'a branch coped onto %s ends where its generators meet a ruled loft of the second kernel',
  (name, from, to) => {
    const branch = round(24);
    const job = jobOf(
      [
        runTube('r', from, { at: [0, 0, 0], heading: [0, 0, 1], up: [0, 1, 0], run: [taper(from, to, 120)] }),
        runTube('b', branch, { at: [150, 6, 40], heading: [-1, 0, 0.2], up: [0, 1, 0], run: [straight(150)] }),
      ],
      [cope('b.end', ['r'], 0)],
    );
    const end = cutOf(solved(job), 'b.end');
    const loft = new oc.BRepOffsetAPI_ThruSections(true, true, 1e-7);
    loft.AddWire(oc.TopoDS.Wire(wireAt(from, 0)));
    loft.AddWire(oc.TopoDS.Wire(wireAt(to, 120)));
    loft.Build();
    const solid = loft.Shape();
    const h = Math.hypot(1, 0.2);
    const heading = [-1 / h, 0, 0.2 / h] as const;
    // right = heading x up.
    const right = [-heading[2], 0, heading[0]] as const;
    const pairs = Array.from({ length: 15 }, (_, i): [number, number] => {
      const u = (i + 0.37) / 15;
      const [a, b] = [12 * Math.sin(2 * Math.PI * u), 12 * Math.cos(2 * Math.PI * u)];
      const start = [150 + right[0] * a, 6 + b, 40 + right[2] * a] as const;
      const edge = new oc.BRepBuilderAPI_MakeEdge(
        new oc.gp_Pnt(...start),
        new oc.gp_Pnt(start[0] + heading[0] * 150, start[1], start[2] + heading[2] * 150),
      ).Edge();
      const section = new oc.BRepAlgoAPI_Section(edge, solid);
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
      return [first, sAt(end, u, 'outer')];
    });
    expect(worst(name, pairs)).toBeLessThan(AGREE);
  },
);
