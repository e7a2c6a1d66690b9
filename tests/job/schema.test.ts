import { describe, expect, it } from 'vitest';
import { jobJsonSchema } from '../../src/job/schema.ts';

type Node = Readonly<Record<string, unknown>>;

const isNode = (value: unknown): value is Node => typeof value === 'object' && value !== null;

function nodes(value: unknown, path: string, visit: (node: Node, path: string) => void): void {
  if (!isNode(value)) return;
  visit(value, path);
  for (const [key, child] of Object.entries(value)) nodes(child, `${path}/${key}`, visit);
}

const at = (root: unknown, ...steps: readonly (string | number)[]): Node => {
  const found = steps.reduce<unknown>((node, step) => (isNode(node) ? node[step] : undefined), root);
  if (!isNode(found)) throw new Error(`nothing at ${steps.join('/')}`);
  return found;
};

describe('the JSON Schema for editors', () => {
  const schema = jobJsonSchema();

  it('is plain JSON with the fields of a job at the top', () => {
    expect(JSON.parse(JSON.stringify(schema))).toEqual(schema);
    expect(Object.keys(at(schema, 'properties'))).toEqual([
      'job',
      'about',
      'units',
      'shop',
      'sections',
      'members',
      'joints',
      'tools',
      'openings',
      'stock',
      'keep-out',
      'heat',
      'clearance',
      'plates',
      'variants',
    ]);
    expect(at(schema, 'required')).toEqual(['job', 'sections', 'members']);
  });

  it('refuses unknown fields in every map of fields', () => {
    const open: string[] = [];
    nodes(schema, '', (node, path) => {
      if (isNode(node.properties) && node.type === 'object' && node.additionalProperties !== false) open.push(path);
    });
    expect(open).toEqual([]);
  });

  it('says the unit, range and meaning of every number', () => {
    const silent: string[] = [];
    let told = 0;
    nodes(schema, '', (node, path) => {
      const types = Array.isArray(node.type) ? node.type : [node.type];
      if (!types.includes('number') && !types.includes('integer')) return;
      const bare = !types.includes('string');
      if (bare && /items$|material\/anyOf/.test(path)) return;
      told += 1;
      if (typeof node.description !== 'string' || node.description.length < 15) silent.push(path);
    });
    expect(silent).toEqual([]);
    expect(told).toBeGreaterThan(30);
  });

  it('names defaults with their unit, so that they hold in a job of inches too', () => {
    const printer = at(schema, 'properties', 'shop', 'properties', 'printer', 'properties');
    expect(at(printer, 'nozzle')).toMatchObject({
      default: '0.4mm',
      description: expect.stringContaining('Default 0.4mm'),
    });
    expect(at(printer, 'bed')).toMatchObject({ default: ['220mm', '220mm', '250mm'] });
  });

  it('offers the kinds of section', () => {
    const kinds = at(schema, 'properties', 'sections', 'additionalProperties', 'oneOf');
    expect(Object.values(kinds).map((kind) => at(kind, 'properties', 'kind').const)).toEqual([
      'round',
      'flat-oval',
      'ellipse',
      'rectangle',
      'square',
    ]);
  });
});
