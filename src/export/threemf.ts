import type { Placement } from '../geometry/placement.ts';
import { SQUARE_FRAME } from '../geometry/tolerance.ts';
import { cross, dot } from '../geometry/vector.ts';
import type { Mesh } from '../solid/mesh.ts';
import { allFinite, checkMesh } from '../solid/mesh-check.ts';
import { gridCoordinate } from '../solid/tidy.ts';
import { plainDecimal } from './number-format.ts';
import { listBytes } from './threemf-lists.ts';
import { xmlText } from './xml.ts';
import { unzipBytes, zipBytes } from './zip.ts';

export interface ThreemfObject {
  readonly name: string;
  /** The same from build to build. */
  readonly partNumber: string;
  readonly mesh: Mesh;
}

export interface ThreemfItem {
  readonly objectIndex: number;
  readonly placement: Placement;
}

/** Well-known names (Title apart, which is its own field) as they are; any other name gets this program's prefix. */
export interface ThreemfMetadata {
  readonly name: string;
  readonly value: string;
}

export interface ThreemfPackage {
  readonly title: string;
  readonly objects: readonly ThreemfObject[];
  readonly items: readonly ThreemfItem[];
  readonly metadata: readonly ThreemfMetadata[];
  /** PNG bytes. */
  readonly thumbnail?: Uint8Array;
  /** Seconds since 1970; writes a creation date. Without it the file carries no date. */
  readonly sourceDateEpoch?: number;
}

export const MODEL_PART = '3D/3dmodel.model';
export const THUMBNAIL_PART = 'Metadata/thumbnail.png';
export const CORE_NAMESPACE = 'http://schemas.microsoft.com/3dmanufacturing/core/2015/02';
export const OWN_NAMESPACE = 'https://kerfwright.example/3mf/1';
export const OWN_PREFIX = 'kw';

/** 3MF Core 1.4.0, table 3-1. */
const WELL_KNOWN = [
  'Title',
  'Designer',
  'Description',
  'Copyright',
  'LicenseTerms',
  'Rating',
  'CreationDate',
  'ModificationDate',
  'Application',
];

/** Directions of a placement, decimals: a turn error of 1e-9 over a 400 mm bed moves nothing by a grid step. */
const DIRECTION_DECIMALS = 9;

/** mm. How far a part may stand outside the bed's corner by rounding of its placement. */
const CORNER_DECIMALS = 4;

/** XML's own line ends are kept out of names by xmlText, so every line below is one element. */
const DECLARATION = '<?xml version="1.0" encoding="UTF-8"?>';

/**
 * A 3MF package (Core specification 1.4.0): millimeters, six decimals, named objects, the same bytes for the same input
 * in any time zone. Errors: a mesh that is open, inside out or has doubled vertices once rounded, a bent placement,
 * a part outside the positive octant, no item, a doubled metadata name or a name XML cannot hold is a bug and throws.
 */
export function threemfBytes(content: ThreemfPackage): Uint8Array {
  const { thumbnail } = content;
  return zipBytes([
    { name: '[Content_Types].xml', bytes: Buffer.from(contentTypes(thumbnail !== undefined)) },
    { name: '_rels/.rels', bytes: Buffer.from(relationships(thumbnail !== undefined)) },
    { name: MODEL_PART, bytes: modelXml(content) },
    ...(thumbnail ? [{ name: THUMBNAIL_PART, bytes: thumbnail, stored: true }] : []),
  ]);
}

/** The parts of a package by name, unpacked. */
export const unpackThreemf = (bytes: Uint8Array): Readonly<Record<string, Uint8Array>> => unzipBytes(bytes);

function contentTypes(thumbnail: boolean): string {
  const kinds = [
    ['rels', 'application/vnd.openxmlformats-package.relationships+xml'],
    ['model', 'application/vnd.ms-package.3dmanufacturing-3dmodel+xml'],
    ...(thumbnail ? [['png', 'image/png']] : []),
  ];
  return [
    DECLARATION,
    '<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">',
    ...kinds.map(([extension, type]) => `<Default Extension="${extension}" ContentType="${type}"/>`),
    '</Types>',
  ].join('\n');
}

function relationships(thumbnail: boolean): string {
  const model = 'http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel';
  const picture = 'http://schemas.openxmlformats.org/package/2006/relationships/metadata/thumbnail';
  return [
    DECLARATION,
    '<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">',
    `<Relationship Target="/${MODEL_PART}" Id="model" Type="${model}"/>`,
    ...(thumbnail ? [`<Relationship Target="/${THUMBNAIL_PART}" Id="thumbnail" Type="${picture}"/>`] : []),
    '</Relationships>',
  ].join('\n');
}

function modelXml(content: ThreemfPackage): Uint8Array {
  if (content.items.length === 0) throw new Error('internal: 3MF without a part to print');
  return Buffer.concat([
    lines(
      DECLARATION,
      `<model unit="millimeter" xml:lang="en-US" xmlns="${CORE_NAMESPACE}" xmlns:${OWN_PREFIX}="${OWN_NAMESPACE}">`,
      ...metadataXml(content),
      '<resources>',
    ),
    ...content.objects.flatMap((object, i) => objectXml(object, i + 1)),
    lines(
      '</resources>',
      '<build>',
      ...content.items.map((item) => itemXml(item, content.objects)),
      '</build>',
      '</model>',
    ),
  ]);
}

const lines = (...of: readonly string[]): Uint8Array => Buffer.from(`${of.join('\n')}\n`);

function metadataXml(content: ThreemfPackage): readonly string[] {
  const all: ThreemfMetadata[] = [{ name: 'Title', value: content.title }, ...content.metadata];
  if (content.sourceDateEpoch !== undefined) {
    const date = new Date(content.sourceDateEpoch * 1000).toISOString().replace('.000Z', 'Z');
    all.push({ name: 'CreationDate', value: date });
  }
  const names = new Set<string>();
  return all.map(({ name, value }) => {
    if (!/^[A-Za-z][A-Za-z0-9]*$/u.test(name)) throw new Error(`internal: 3MF metadata name ${JSON.stringify(name)}`);
    if (names.has(name)) throw new Error(`internal: 3MF metadata ${name} twice`);
    names.add(name);
    const full = WELL_KNOWN.includes(name) ? name : `${OWN_PREFIX}:${name}`;
    return `<metadata name="${full}">${xmlText(value)}</metadata>`;
  });
}

function objectXml(object: ThreemfObject, id: number): readonly Uint8Array[] {
  const { positions, triangles } = object.mesh;
  if (!allFinite(positions)) throw new Error(`internal: ${object.name}: a coordinate is not a number`);
  const facts = checkMesh({ positions: positions.map(gridCoordinate), triangles });
  const faults = [
    ...(facts.closed ? [] : ['is not closed']),
    ...(facts.volume > 0 ? [] : ['is inside out or empty']),
    ...(facts.zeroArea === 0 ? [] : [`has ${facts.zeroArea} flat triangles`]),
    ...(facts.duplicateVertices === 0 ? [] : [`has ${facts.duplicateVertices} doubled vertices`]),
  ];
  if (faults.length > 0) throw new Error(`internal: ${object.name}: the mesh to be written ${faults.join(', ')}`);
  return [
    lines(
      `<object id="${id}" type="model" name="${xmlText(object.name)}" partnumber="${xmlText(object.partNumber)}">`,
      '<mesh>',
      '<vertices>',
    ),
    listBytes('vertices', positions),
    lines('</vertices>', '<triangles>'),
    listBytes('triangles', triangles),
    lines('</triangles>', '</mesh>', '</object>'),
  ];
}

function itemXml(item: ThreemfItem, objects: readonly ThreemfObject[]): string {
  const object = objects[item.objectIndex];
  if (!object) throw new Error(`internal: 3MF item of object ${item.objectIndex}, of ${objects.length}`);
  const { origin, x, y, z } = item.placement;
  const skew = Math.max(
    Math.abs(dot(cross(x, y), z) - 1),
    ...[dot(x, x) - 1, dot(y, y) - 1, dot(z, z) - 1].map(Math.abs),
  );
  // Written so that a NaN anywhere fails too.
  if (!(skew <= SQUARE_FRAME && origin.every(Number.isFinite))) {
    throw new Error(`internal: ${object.name}: placement is bent by ${skew}`);
  }
  for (const axis of [0, 1, 2] as const) {
    const least = leastAlong(object.mesh, item.placement, axis);
    if (!(least >= -(10 ** -CORNER_DECIMALS))) {
      throw new Error(`internal: ${object.name}: stands ${-least} mm outside the bed's corner`);
    }
  }
  const turn = [...x, ...y, ...z].map((n) => plainDecimal(n, DIRECTION_DECIMALS));
  const transform = [...turn, ...origin.map((n) => plainDecimal(n, 6))].join(' ');
  return `<item objectid="${item.objectIndex + 1}" transform="${transform}" partnumber="${xmlText(object.partNumber)}"/>`;
}

function leastAlong({ positions: p }: Mesh, { origin, x, y, z }: Placement, axis: 0 | 1 | 2): number {
  let least = Number.POSITIVE_INFINITY;
  for (let i = 0; i < p.length; i += 3) {
    const at = origin[axis] + x[axis] * p[i]! + y[axis] * p[i + 1]! + z[axis] * p[i + 2]!;
    if (at < least) least = at;
  }
  return least;
}
