import { cross, dot, length, type Mm, squareTo, unit, type Vec2, type Vec3 } from '../geometry/vector.ts';
import type { Mesh } from '../solid/mesh.ts';
import { drawnEdges } from './picture-edges.ts';
import type { Rgba } from './png.ts';

export interface PictureMesh {
  readonly mesh: Mesh;
  /** Red, green, blue, 0..255. */
  readonly color: readonly [number, number, number];
  /** Less than 1 makes a ghost: seen through, drawn over what lies behind it, not counted when the picture is fitted. */
  readonly opacity?: number;
}

export interface PictureView {
  /** Direction from the part to the eye. */
  readonly from: Vec3;
  /** What points up in the picture; +z unless given. */
  readonly up?: Vec3;
}

export interface PictureOptions {
  readonly width: number;
  readonly height: number;
  readonly view: PictureView;
  /** Pixels kept free at the left, top, right and bottom, for what is drawn round the parts. */
  readonly free?: Free;
  /** Samples a pixel, each way. */
  readonly supersample?: number;
}

export type Free = readonly [number, number, number, number];

interface Camera {
  readonly right: Vec3;
  readonly up: Vec3;
  readonly eye: Vec3;
  /** Samples per mm. */
  readonly zoom: number;
  readonly middle: readonly [number, number];
  readonly width: number;
  readonly height: number;
}

/** Colors and depths of one layer; the depth is mm toward the eye. */
interface Layer {
  readonly depth: Float32Array;
  readonly color: Uint8Array;
}

const MARGIN = 0.05;
/** More room around the part when a ghost (the tube in it) shows how it sits. */
const GHOST_MARGIN = 0.14;
const PAPER = 255;
/** Of the part's color, for its edges. */
const EDGE_SHADE = 0.22;
/** Samples of depth by which an edge may lie behind the facets it belongs to. */
const EDGE_BIAS = 3;

/** A picture, and where things are on it. */
export interface DrawnPicture {
  readonly rgba: Rgba;
  /** Pixels from the top left corner, and how many mm of the parts stand before the point, toward the eye: none where it is seen. */
  readonly spot: (point: Vec3) => { readonly at: Vec2; readonly behind: Mm };
}

/**
 * Parallel projection of meshes on white: flat shading lit from over the viewer's left shoulder, sharp edges and outlines
 * drawn dark where they are seen, fitted to the solid parts. Errors: no triangle to fit to, or a view straight along its
 * own up, is a bug of the caller.
 */
export const picture = (meshes: readonly PictureMesh[], options: PictureOptions): Rgba =>
  drawnPicture(meshes, options).rgba;

export function drawnPicture(meshes: readonly PictureMesh[], options: PictureOptions): DrawnPicture {
  const sub = options.supersample ?? 2;
  const [freeLeft, freeTop, freeRight, freeBottom] = options.free ?? [0, 0, 0, 0];
  const free = [sub * freeLeft, sub * freeTop, sub * freeRight, sub * freeBottom] as const;
  const camera = fitCamera(meshes, { ...options, width: options.width * sub, height: options.height * sub, free });
  const pen = Math.max(sub, Math.round((sub * Math.max(options.width, options.height)) / 400));
  const isGhost = (part: PictureMesh): boolean => (part.opacity ?? 1) < 1;
  const solid = blankLayer(camera);
  for (const part of meshes.filter((m) => !isGhost(m))) drawPart(solid, part, camera, pen);
  for (const part of meshes.filter(isGhost)) {
    const ghost = blankLayer(camera);
    drawPart(ghost, part, camera, pen);
    blend(solid, ghost, part.opacity ?? 1);
  }
  return {
    rgba: shrink(solid.color, { width: options.width, height: options.height, sub }),
    spot: (point) => {
      const [x, y] = onPicture(point, camera);
      const [column, row] = [Math.floor(x), Math.floor(y)];
      const inside = column >= 0 && row >= 0 && column < camera.width && row < camera.height;
      const front = inside ? solid.depth[row * camera.width + column]! : Number.NEGATIVE_INFINITY;
      return { at: [x / sub, y / sub], behind: Math.max(0, front - dot(point, camera.eye)) };
    },
  };
}

/** Where things would be on the picture, without drawing it: pixels to a mm of the parts, and pixels from the top left corner. */
export function picturePlan(
  meshes: readonly PictureMesh[],
  options: PictureOptions,
): { readonly zoom: number; readonly at: (point: Vec3) => Vec2 } {
  const camera = fitCamera(meshes, options);
  return { zoom: camera.zoom, at: (point) => onPicture(point, camera) };
}

/** Samples from the top left corner. */
const onPicture = (p: Vec3, { right, up, zoom, middle, width, height }: Camera): Vec2 => [
  width / 2 + (dot(p, right) - middle[0]) * zoom,
  height / 2 - (dot(p, up) - middle[1]) * zoom,
];

function blankLayer(camera: Camera): Layer {
  const samples = camera.width * camera.height;
  return {
    depth: new Float32Array(samples).fill(Number.NEGATIVE_INFINITY),
    color: new Uint8Array(3 * samples).fill(PAPER),
  };
}

function fitCamera(meshes: readonly PictureMesh[], options: PictureOptions): Camera {
  const eye = unit(options.view.from);
  const up = unit(squareTo(options.view.up ?? [0, 0, 1], eye));
  const right = cross(up, eye);
  const solids = meshes.filter((part) => (part.opacity ?? 1) >= 1);
  const low = [Number.POSITIVE_INFINITY, Number.POSITIVE_INFINITY];
  const high = [Number.NEGATIVE_INFINITY, Number.NEGATIVE_INFINITY];
  for (const { mesh } of solids.length > 0 ? solids : meshes) {
    for (let i = 0; i < mesh.positions.length; i += 3) {
      const p: Vec3 = [mesh.positions[i]!, mesh.positions[i + 1]!, mesh.positions[i + 2]!];
      for (let axis = 0; axis < 2; axis++) {
        const value = dot(p, axis === 0 ? right : up);
        if (value < low[axis]!) low[axis] = value;
        if (value > high[axis]!) high[axis] = value;
      }
    }
  }
  const span = [high[0]! - low[0]!, high[1]! - low[1]!] as const;
  if (!(span[0] >= 0 && span[0] + span[1] > 0)) throw new Error('internal: picture of nothing');
  const room = 1 - 2 * (solids.length < meshes.length && solids.length > 0 ? GHOST_MARGIN : MARGIN);
  const [freeLeft, freeTop, freeRight, freeBottom] = options.free ?? [0, 0, 0, 0];
  const [wide, tall] = [options.width - freeLeft - freeRight, options.height - freeTop - freeBottom];
  const zoom = Math.min((wide * room) / span[0], (tall * room) / span[1]);
  // What is kept free on one side moves the parts' middle to the other.
  const middle = [
    (low[0]! + high[0]!) / 2 + (freeRight - freeLeft) / 2 / zoom,
    (low[1]! + high[1]!) / 2 + (freeTop - freeBottom) / 2 / zoom,
  ] as const;
  return { right, up, eye, zoom, middle, width: options.width, height: options.height };
}

/** Sample coordinates (x right, y down) and depth of every vertex. */
function project(mesh: Mesh, camera: Camera): Float64Array {
  const out = new Float64Array(mesh.positions.length);
  for (let i = 0; i < out.length; i += 3) {
    const p: Vec3 = [mesh.positions[i]!, mesh.positions[i + 1]!, mesh.positions[i + 2]!];
    out[i] = camera.width / 2 + (dot(p, camera.right) - camera.middle[0]) * camera.zoom;
    out[i + 1] = camera.height / 2 - (dot(p, camera.up) - camera.middle[1]) * camera.zoom;
    out[i + 2] = dot(p, camera.eye);
  }
  return out;
}

function drawPart(layer: Layer, part: PictureMesh, camera: Camera, pen: number): void {
  const seen = project(part.mesh, camera);
  const { triangles } = part.mesh;
  for (let i = 0; i < triangles.length; i += 3) {
    drawTriangle(layer, camera, { seen, triangles, first: i, color: part.color });
  }
  const dark = part.color.map((c) => Math.round(c * EDGE_SHADE));
  for (const [a, b] of drawnEdges(part.mesh, camera.eye))
    drawEdge(layer, camera, { seen, from: 3 * a, to: 3 * b, dark, pen });
}

interface TriangleToDraw {
  readonly seen: Float64Array;
  readonly triangles: Uint32Array;
  /** Place of the triangle's first corner in `triangles`. */
  readonly first: number;
  readonly color: readonly [number, number, number];
}

function drawTriangle(layer: Layer, camera: Camera, { seen, triangles, first, color }: TriangleToDraw): void {
  const a = 3 * triangles[first]!;
  const b = 3 * triangles[first + 1]!;
  const c = 3 * triangles[first + 2]!;
  const ax = seen[a]!;
  const ay = seen[a + 1]!;
  const bx = seen[b]! - ax;
  const by = seen[b + 1]! - ay;
  const cx = seen[c]! - ax;
  const cy = seen[c + 1]! - ay;
  const turn = bx * cy - by * cx;
  // Half of all triangles face away.
  if (turn >= 0) return;
  const az = seen[a + 2]!;
  const bz = seen[b + 2]! - az;
  const cz = seen[c + 2]! - az;
  const left = Math.max(0, Math.ceil(ax + Math.min(0, bx, cx) - 0.5));
  const right = Math.min(camera.width - 1, Math.floor(ax + Math.max(0, bx, cx) - 0.5));
  const top = Math.max(0, Math.ceil(ay + Math.min(0, by, cy) - 0.5));
  const bottom = Math.min(camera.height - 1, Math.floor(ay + Math.max(0, by, cy) - 0.5));
  // Triangles that no sample falls into are the most: a curve has many, each smaller than a sample.
  if (left > right || top > bottom) return;
  const shade = shadeOf([bx / camera.zoom, -by / camera.zoom, bz], [cx / camera.zoom, -cy / camera.zoom, cz]);
  const [red, green, blue] = [color[0] * shade, color[1] * shade, color[2] * shade];
  for (let y = top; y <= bottom; y++) {
    const dy = y + 0.5 - ay;
    const [from, to] = rowSpan([bx, by, cx, cy], dy);
    const last = Math.min(right, Math.ceil(to + ax + 0.5));
    for (let x = Math.max(left, Math.floor(from + ax - 1.5)); x <= last; x++) {
      const dx = x + 0.5 - ax;
      const u = (dx * cy - dy * cx) / turn;
      const v = (bx * dy - by * dx) / turn;
      if (u < 0 || v < 0 || u + v > 1) continue;
      const depth = az + u * bz + v * cz;
      const at = y * camera.width + x;
      if (depth <= layer.depth[at]!) continue;
      layer.depth[at] = depth;
      layer.color[3 * at] = red;
      layer.color[3 * at + 1] = green;
      layer.color[3 * at + 2] = blue;
    }
  }
}

/**
 * Where the triangle (0, 0), b, c lies on the row dy, first and last x: a long facet askew fills little of its box, and
 * a straight tube is two triangles a facet. A hair wide of the truth; the samples themselves decide.
 */
function rowSpan([bx, by, cx, cy]: readonly [number, number, number, number], dy: number): readonly [number, number] {
  let from = Number.POSITIVE_INFINITY;
  let to = Number.NEGATIVE_INFINITY;
  const cross = (px: number, py: number, qx: number, qy: number): void => {
    if (py === qy || dy < Math.min(py, qy) - 1e-9 || dy > Math.max(py, qy) + 1e-9) return;
    const x = px + ((qx - px) * (dy - py)) / (qy - py);
    from = Math.min(from, x);
    to = Math.max(to, x);
  };
  cross(0, 0, bx, by);
  cross(bx, by, cx, cy);
  cross(cx, cy, 0, 0);
  return [from, to];
}

/** Toward the lamp, seen from the eye: left, up, and mostly toward the viewer. */
const LAMP = unit([-0.45, 0.6, 0.8]);

function shadeOf(b: Vec3, c: Vec3): number {
  const across = cross(b, c);
  // A triangle seen as a line has no side to light; its neighbors show what is there.
  if (!(length(across) > 0)) return 0.5;
  const normal = unit(across);
  return 0.5 + 0.4 * Math.max(0, dot(normal, LAMP)) + 0.1 * Math.max(0, normal[1]);
}

interface EdgeToDraw {
  readonly seen: Float64Array;
  readonly from: number;
  readonly to: number;
  readonly dark: readonly number[];
  readonly pen: number;
}

function drawEdge(layer: Layer, camera: Camera, { seen, from, to, dark, pen }: EdgeToDraw): void {
  const [x0, y0, z0] = [seen[from]!, seen[from + 1]!, seen[from + 2]!];
  const [dx, dy, dz] = [seen[to]! - x0, seen[to + 1]! - y0, seen[to + 2]! - z0];
  const steps = Math.max(1, Math.ceil(Math.max(Math.abs(dx), Math.abs(dy))));
  const bias = EDGE_BIAS / camera.zoom;
  for (let i = 0; i <= steps; i++) {
    const t = i / steps;
    const left = Math.round(x0 + t * dx - pen / 2);
    const top = Math.round(y0 + t * dy - pen / 2);
    const depth = z0 + t * dz;
    for (let y = Math.max(0, top); y < Math.min(camera.height, top + pen); y++) {
      for (let x = Math.max(0, left); x < Math.min(camera.width, left + pen); x++) {
        const at = y * camera.width + x;
        if (depth + bias < layer.depth[at]!) continue;
        layer.depth[at] = Math.max(layer.depth[at]!, depth);
        layer.color.set(dark, 3 * at);
      }
    }
  }
}

function blend(under: Layer, ghost: Layer, opacity: number): void {
  for (let at = 0; at < under.depth.length; at++) {
    if (!(ghost.depth[at]! > under.depth[at]!)) continue;
    for (let k = 3 * at; k < 3 * at + 3; k++) {
      under.color[k] = Math.round(opacity * ghost.color[k]! + (1 - opacity) * under.color[k]!);
    }
  }
}

function shrink(
  color: Uint8Array,
  size: { readonly width: number; readonly height: number; readonly sub: number },
): Rgba {
  const { width, height, sub } = size;
  const pixels = new Uint8Array(4 * width * height);
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      for (let channel = 0; channel < 3; channel++) {
        let sum = 0;
        for (let j = 0; j < sub; j++) {
          for (let i = 0; i < sub; i++) sum += color[3 * ((y * sub + j) * width * sub + x * sub + i) + channel]!;
        }
        pixels[4 * (y * width + x) + channel] = Math.round(sum / (sub * sub));
      }
      pixels[4 * (y * width + x) + 3] = 255;
    }
  }
  return { width, height, pixels };
}
