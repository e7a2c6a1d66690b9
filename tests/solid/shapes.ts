import { IDENTITY, type Placement } from '../../src/geometry/placement.ts';
import type { Vec2, Vec3 } from '../../src/geometry/vector.ts';
import type { LabelSolid, MeshSolid, PrismSolid, SubtractSolid } from '../../src/solid/expression.ts';
import type { Mesh } from '../../src/solid/mesh.ts';

export const circle = (radius: number, facets: number): Vec2[] =>
  Array.from({ length: facets }, (_, i) => {
    const turn = (2 * Math.PI * i) / facets;
    return [radius * Math.cos(turn), radius * Math.sin(turn)];
  });

/** Area of the regular polygon inside a circle. */
export const circleArea = (radius: number, facets: number): number =>
  (facets / 2) * radius * radius * Math.sin((2 * Math.PI) / facets);

export const rectangle = (x: number, y: number): Vec2[] => [
  [-x / 2, -y / 2],
  [x / 2, -y / 2],
  [x / 2, y / 2],
  [-x / 2, y / 2],
];

export const at = (origin: Vec3): Placement => ({ ...IDENTITY, origin });

export function prism(
  name: string,
  loops: readonly (readonly Vec2[])[],
  rise: { height: number; at?: Placement },
): PrismSolid {
  return { kind: 'prism', name, loops, height: rise.height, at: rise.at ?? IDENTITY };
}

export const box = (name: string, size: Vec3, origin: Vec3 = [0, 0, 0]): PrismSolid =>
  prism(name, [rectangle(size[0], size[1])], { height: size[2], at: at(origin) });

/** A mesh of six faces, x by y by z from the origin, corner 0 at the origin. */
export function boxMesh(x = 10, y = 20, z = 30): Mesh {
  const positions = Float64Array.from([0, 0, 0, x, 0, 0, x, y, 0, 0, y, 0, 0, 0, z, x, 0, z, x, y, z, 0, y, z]);
  const faces = [
    0, 3, 2, 0, 2, 1, 4, 5, 6, 4, 6, 7, 0, 1, 5, 0, 5, 4, 1, 2, 6, 1, 6, 5, 2, 3, 7, 2, 7, 6, 3, 0, 4, 3, 4, 7,
  ];
  return { positions, triangles: Uint32Array.from(faces) };
}

export interface SleeveSize {
  readonly bore: number;
  readonly thick: number;
  readonly facets: number;
}

/** Sleeve from z = 0 to a wavy cut edge, as a notch collar has it; vertices 4i+2 and 4i+3 are the edge. */
export function sleeveMesh({ bore, thick, facets }: SleeveSize): Mesh {
  const positions: number[] = [];
  const triangles: number[] = [];
  const face = (a: number, b: number, c: number, d: number): number => triangles.push(a, b, c, a, c, d);
  for (let i = 0; i < facets; i++) {
    const turn = (2 * Math.PI * i) / facets;
    const [c, s] = [Math.cos(turn), Math.sin(turn)];
    const z = 60 + 12 * s - 0.6 * Math.sqrt(45 * 45 - (bore * s) ** 2);
    const outer = bore + thick;
    positions.push(bore * c, bore * s, 0, outer * c, outer * s, 0, bore * c, bore * s, z, outer * c, outer * s, z);
    const a = 4 * i;
    const b = 4 * ((i + 1) % facets);
    face(a, b, b + 1, a + 1);
    face(a + 1, b + 1, b + 3, a + 3);
    face(a + 3, b + 3, b + 2, a + 2);
    face(a + 2, b + 2, b, a);
  }
  return { positions: Float64Array.from(positions), triangles: Uint32Array.from(triangles) };
}

export const sleeve = (size: SleeveSize): MeshSolid => ({ kind: 'mesh', name: 'sleeve', mesh: sleeveMesh(size) });

/** The label stands upright before the sleeve's front (-y) and is cut into half its wall. */
export function labeledSleeve(size: SleeveSize): SubtractSolid {
  const label: LabelSolid = {
    kind: 'label',
    name: 'label',
    lines: ['L1 →', '37.5°', 'R8F3A'],
    box: [12, 16],
    letter: 5,
    stroke: 0.8,
    depth: 3,
    sink: 0.4,
    at: {
      origin: [0, 0.6 - Math.sqrt((size.bore + size.thick) ** 2 - 36), 12],
      x: [1, 0, 0],
      y: [0, 0, 1],
      z: [0, -1, 0],
    },
  };
  return { kind: 'subtract', name: 'collar', from: sleeve(size), cuts: [label] };
}
