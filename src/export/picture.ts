import { add, cross, dot, type Mm, scale, squareTo, unit, type Vec2, type Vec3 } from '../geometry/vector.ts';
import type { Mesh } from '../solid/mesh.ts';
import { drawnEdges, type SeenFacets, seenFacets } from './picture-edges.ts';
import type { Rgba } from './png.ts';
import {
  AWAY,
  blend,
  drawEdges,
  drawFacets,
  type FacetsToDraw,
  LAMP,
  type Layer,
  litColor,
  newLayer,
  SAMPLES,
  shrinkInto,
  wiped,
} from './raster.ts';

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
  /** Points that are to lie on the picture too. */
  readonly room?: readonly Vec3[];
  /** Pixels kept free at the left, top, right and bottom, for what is drawn round the parts. */
  readonly free?: Free;
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

const MARGIN = 0.05;
/** More room around the part when a ghost (the tube in it) shows how it sits. */
const GHOST_MARGIN = 0.14;
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
  drawn(meshes, options, () => undefined).rgba;

/** The same, and where things are on it. */
export function drawnPicture(meshes: readonly PictureMesh[], options: PictureOptions): DrawnPicture {
  const depths: Float32Array[] = [];
  const { rgba, camera, rows } = drawn(meshes, options, (band) =>
    depths.push(band.depth.slice(0, band.width * band.height)),
  );
  return {
    rgba,
    spot: (point) => {
      const [x, y] = onPicture(point, camera);
      const [column, row] = [Math.floor(x), Math.floor(y)];
      const inside = column >= 0 && row >= 0 && column < camera.width && row < camera.height;
      const band = inside ? depths[Math.floor(row / rows)] : undefined;
      const front = band?.[(row % rows) * camera.width + column] ?? Number.NEGATIVE_INFINITY;
      return { at: [x / SAMPLES, y / SAMPLES], behind: Math.max(0, front - dot(point, camera.eye)) };
    },
  };
}

/** Samples drawn at a time, some rows of them: a whole picture of 1200 x 900 pixels would take 35 MB, twice that with ghosts. */
const BAND = 600_000;

function drawn(
  meshes: readonly PictureMesh[],
  options: PictureOptions,
  look: (band: Layer) => void,
): { readonly rgba: Rgba; readonly camera: Camera; readonly rows: number } {
  const { width, height } = options;
  const [freeLeft, freeTop, freeRight, freeBottom] = options.free ?? [0, 0, 0, 0];
  const free = [SAMPLES * freeLeft, SAMPLES * freeTop, SAMPLES * freeRight, SAMPLES * freeBottom] as const;
  const camera = fitCamera(meshes, { ...options, width: width * SAMPLES, height: height * SAMPLES, free });
  const pen = Math.max(SAMPLES, Math.round((SAMPLES * Math.max(width, height)) / 400));
  const parts = meshes.map((part) => seenPart(part, camera));
  const solids = parts.filter(({ opacity }) => opacity >= 1);
  const ghosts = parts.filter(({ opacity }) => opacity < 1);
  // White paper.
  const rgba = { width, height, pixels: new Uint8Array(4 * width * height).fill(255) };
  // Whole pixels.
  const rows = Math.min(SAMPLES * Math.ceil(BAND / camera.width / SAMPLES), camera.height);
  const layer = newLayer({ width: camera.width, height: rows });
  // One for all ghosts in turn.
  const veil = ghosts.length > 0 ? newLayer(layer) : layer;
  for (let top = 0; top < camera.height; top += rows) {
    const left = Math.min(rows, camera.height - top);
    const solid = wiped(layer, top, left);
    for (const part of solids) drawPart(solid, part, { zoom: camera.zoom, pen });
    for (const part of ghosts) {
      const ghost = wiped(veil, top, left);
      drawPart(ghost, part, { zoom: camera.zoom, pen });
      blend(solid, ghost, part.opacity);
    }
    look(solid);
    shrinkInto(rgba, solid);
  }
  return { rgba, camera, rows };
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

function fitCamera(meshes: readonly PictureMesh[], options: PictureOptions): Camera {
  const eye = unit(options.view.from);
  const up = unit(squareTo(options.view.up ?? [0, 0, 1], eye));
  const right = cross(up, eye);
  const solids = meshes.filter((part) => (part.opacity ?? 1) >= 1);
  const low = [Number.POSITIVE_INFINITY, Number.POSITIVE_INFINITY];
  const high = [Number.NEGATIVE_INFINITY, Number.NEGATIVE_INFINITY];
  const take = (x: Mm, y: Mm, z: Mm): void => {
    const across = x * right[0] + y * right[1] + z * right[2];
    const upward = x * up[0] + y * up[1] + z * up[2];
    if (across < low[0]!) low[0] = across;
    if (across > high[0]!) high[0] = across;
    if (upward < low[1]!) low[1] = upward;
    if (upward > high[1]!) high[1] = upward;
  };
  for (const { mesh } of solids.length > 0 ? solids : meshes) {
    const p = mesh.positions;
    for (let i = 0; i < p.length; i += 3) take(p[i]!, p[i + 1]!, p[i + 2]!);
  }
  for (const [x, y, z] of options.room ?? []) take(x, y, z);
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
function project({ positions: p }: Mesh, camera: Camera): Float64Array {
  const { right, up, eye, zoom, middle } = camera;
  const left = camera.width / 2 - middle[0] * zoom;
  const top = camera.height / 2 + middle[1] * zoom;
  const out = new Float64Array(p.length);
  for (let i = 0; i < out.length; i += 3) {
    const x = p[i]!;
    const y = p[i + 1]!;
    const z = p[i + 2]!;
    out[i] = left + (x * right[0] + y * right[1] + z * right[2]) * zoom;
    out[i + 1] = top - (x * up[0] + y * up[1] + z * up[2]) * zoom;
    out[i + 2] = x * eye[0] + y * eye[1] + z * eye[2];
  }
  return out;
}

/** A part as the camera sees it, ready to be drawn. */
interface SeenPart extends FacetsToDraw {
  readonly edges: Uint32Array;
  readonly color: PictureMesh['color'];
  readonly opacity: number;
}

function seenPart({ mesh, color, opacity = 1 }: PictureMesh, camera: Camera): SeenPart {
  const facets = seenFacets(mesh, camera.eye);
  return {
    seen: project(mesh, camera),
    triangles: mesh.triangles,
    shades: facetShades(facets, color, camera),
    edges: drawnEdges(mesh, facets),
    color,
    opacity,
  };
}

function facetShades(
  { normals, faces }: SeenFacets,
  color: PictureMesh['color'],
  { right, up, eye }: Camera,
): Int32Array {
  const shades = new Int32Array(faces.length).fill(AWAY);
  const lamp = add(add(scale(right, LAMP[0]), scale(up, LAMP[1])), scale(eye, LAMP[2]));
  for (let facet = 0; facet < faces.length; facet++) {
    if (faces[facet] === 0) continue;
    const x = normals[3 * facet]!;
    const y = normals[3 * facet + 1]!;
    const z = normals[3 * facet + 2]!;
    shades[facet] = litColor(color, {
      lamp: x * lamp[0] + y * lamp[1] + z * lamp[2],
      above: x * up[0] + y * up[1] + z * up[2],
    });
  }
  return shades;
}

function drawPart(layer: Layer, part: SeenPart, { zoom, pen }: { readonly zoom: number; readonly pen: number }): void {
  drawFacets(layer, part);
  drawEdges(layer, { ...part, zoom, pen });
}
