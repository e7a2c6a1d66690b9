import type { Placement } from '../geometry/placement.ts';
import type { Mesh } from '../solid/mesh.ts';
import type { ThreemfItem, ThreemfMetadata, ThreemfObject } from './threemf.ts';
import { CORE_NAMESPACE, MODEL_PART, THUMBNAIL_PART, unpackThreemf } from './threemf.ts';
import { type PlainList, takePlainLists } from './threemf-lists.ts';
import { type Attributes, readXml, type XmlEvent } from './xml.ts';

/** A 3MF package as read back: what would be printed, by name. */
export interface ReadThreemf {
  readonly title: string;
  readonly objects: readonly ThreemfObject[];
  readonly items: readonly ThreemfItem[];
  /** All but the title, names as they stand in the file. */
  readonly metadata: readonly ThreemfMetadata[];
  readonly thumbnail?: Uint8Array;
}

/**
 * Reads back a 3MF package that this program wrote, coordinates as the float32 a slicer makes of them. Errors: a missing part,
 * another unit or namespace, an element or attribute this program does not write, a number that is none, or an index
 * beyond its list throws.
 */
export function readThreemf(bytes: Uint8Array): ReadThreemf {
  const parts = unpackThreemf(bytes);
  const model = parts[MODEL_PART];
  if (!model) throw new Error(`internal: 3MF without ${MODEL_PART}`);
  for (const part of ['[Content_Types].xml', '_rels/.rels'])
    if (!parts[part]) throw new Error(`internal: 3MF without ${part}`);
  const plain = takePlainLists(model);
  const text = new TextDecoder('utf-8', { fatal: true }).decode(plain ? plain.rest : model);
  const read = readModel(readXml(text), plain?.lists ?? []);
  const thumbnail = parts[THUMBNAIL_PART];
  return thumbnail ? { ...read, thumbnail } : read;
}

interface OpenObject {
  readonly name: string;
  readonly partNumber: string;
  positions: Float64Array | number[];
  triangles: Uint32Array | number[];
}

const PATHS: Readonly<Record<string, string>> = {
  model: '',
  metadata: 'model',
  resources: 'model',
  object: 'resources',
  mesh: 'object',
  vertices: 'mesh',
  vertex: 'vertices',
  triangles: 'mesh',
  triangle: 'triangles',
  build: 'model',
  item: 'build',
};

const COORDINATES = ['x', 'y', 'z'] as const;
const CORNERS = ['v1', 'v2', 'v3'] as const;

function readModel(events: Iterable<XmlEvent>, lists: readonly PlainList[]): ReadThreemf {
  let taken = 0;
  const ids = new Map<string, number>();
  const objects: OpenObject[] = [];
  const items: ThreemfItem[] = [];
  const metadata: { name: string; value: string }[] = [];
  const path: string[] = [];
  for (const event of events) {
    if (event.kind === 'end') {
      path.pop();
      continue;
    }
    const parent = path[path.length - 1] ?? '';
    if (event.kind === 'text') {
      const last = metadata[metadata.length - 1];
      if (parent !== 'metadata' || !last) throw new Error(`internal: 3MF text inside ${parent}`);
      last.value += event.text;
      continue;
    }
    const { name } = event;
    if (PATHS[name] !== parent) throw new Error(`internal: 3MF element ${name} inside ${parent || 'nothing'}`);
    path.push(name);
    const object = objects[objects.length - 1];
    if (name === 'vertex' && object) readVertex(event, object);
    else if (name === 'triangle' && object) readTriangle(event, object);
    else if ((name === 'vertices' || name === 'triangles') && object && lists.length > 0)
      takeList(lists[taken++], name, object);
    else if (name === 'model') demandModel(event.attributes);
    else if (name === 'metadata') metadata.push({ name: word(event.attributes, 'name'), value: '' });
    else if (name === 'object') objects.push(openObject(event.attributes, ids));
    else if (name === 'item') items.push(readItem(event.attributes, ids));
  }
  const title = metadata.find((entry) => entry.name === 'Title')?.value ?? '';
  return {
    title,
    objects: objects.map(({ name, partNumber, positions, triangles }) => {
      const mesh: Mesh = { positions: new Float64Array(positions), triangles: new Uint32Array(triangles) };
      return { name, partNumber, mesh };
    }),
    items,
    metadata: metadata.filter((entry) => entry.name !== 'Title'),
  };
}

type Start = Extract<XmlEvent, { kind: 'start' }>;

/** Errors: a list that is not the next one, or one where the object has numbers already, is refused. */
function takeList(list: PlainList | undefined, name: PlainList['name'], object: OpenObject): void {
  const held = name === 'vertices' ? object.positions : object.triangles;
  if (list?.name !== name || held.length > 0) throw new Error(`internal: 3MF lists ${name} out of order`);
  const { numbers } = list;
  if (name === 'vertices') object.positions = new Float64Array(new Float32Array(numbers));
  else {
    const vertices = object.positions.length / 3;
    for (let i = 0; i < numbers.length; i++) demandCorner(numbers[i]!, vertices);
    object.triangles = new Uint32Array(numbers);
  }
}

function readVertex(event: Start, object: OpenObject): void {
  const positions = loose(object.positions);
  for (const key of COORDINATES) positions.push(Math.fround(decimal(word(event.attributes, key))));
}

function readTriangle(event: Start, object: OpenObject): void {
  const triangles = loose(object.triangles);
  for (const key of CORNERS)
    triangles.push(demandCorner(Number(word(event.attributes, key)), object.positions.length / 3));
}

/** Numbers read one by one; where a list was taken whole, no row is left to be read. */
function loose(numbers: Float64Array | Uint32Array | number[]): number[] {
  if (!Array.isArray(numbers)) throw new Error('internal: 3MF row beside a list');
  return numbers;
}

function demandModel(attributes: Attributes): void {
  if (attributes.get('unit') !== 'millimeter') throw new Error(`internal: 3MF unit ${attributes.get('unit')}`);
  if (attributes.get('xmlns') !== CORE_NAMESPACE) throw new Error('internal: 3MF without the core namespace');
}

function openObject(attributes: Attributes, ids: Map<string, number>): OpenObject {
  const id = word(attributes, 'id');
  if (!/^[1-9]\d*$/u.test(id) || ids.has(id)) throw new Error(`internal: 3MF object id ${id}`);
  ids.set(id, ids.size);
  return { name: word(attributes, 'name'), partNumber: word(attributes, 'partnumber'), positions: [], triangles: [] };
}

function demandCorner(index: number, vertices: number): number {
  if (!Number.isInteger(index) || index < 0 || index >= vertices)
    throw new Error(`internal: 3MF triangle names vertex ${index}`);
  return index;
}

function readItem(attributes: Attributes, ids: ReadonlyMap<string, number>): ThreemfItem {
  const objectIndex = ids.get(word(attributes, 'objectid'));
  if (objectIndex === undefined) throw new Error(`internal: 3MF item of object ${attributes.get('objectid')}`);
  const m = word(attributes, 'transform').split(' ').map(decimal);
  if (m.length !== 12) throw new Error(`internal: 3MF transform of ${m.length} numbers`);
  const row = (i: number): [number, number, number] => [m[i]!, m[i + 1]!, m[i + 2]!];
  const placement: Placement = { x: row(0), y: row(3), z: row(6), origin: row(9) };
  return { objectIndex, placement };
}

function word(attributes: Attributes, key: string): string {
  const value = attributes.get(key);
  if (value === undefined) throw new Error(`internal: 3MF element without ${key}`);
  return value;
}

function decimal(text: string): number {
  if (!/^-?\d+(\.\d+)?$/u.test(text)) throw new Error(`internal: 3MF number ${JSON.stringify(text)}`);
  return Number(text);
}
