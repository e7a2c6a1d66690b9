/** Words that JSON Schemas (draft 2020-12) of our documents are written with. */
type Json = string | number | boolean | readonly Json[] | JsonSchema;
export interface JsonSchema {
  readonly [key: string]: Json;
}

export type Properties = Readonly<Record<string, JsonSchema>>;

export const text = (description: string): JsonSchema => ({ type: 'string', description });
export const count = (description: string): JsonSchema => ({ type: 'integer', minimum: 1, description });
export const mm = (description: string): JsonSchema => ({ type: 'number', description: `${description}, mm` });
export const size = (description: string): JsonSchema => ({ ...mm(description), exclusiveMinimum: 0 });
export const gap = (description: string): JsonSchema => ({ ...mm(description), minimum: 0 });
export const deg = (description: string): JsonSchema => ({ type: 'number', description: `${description}, degrees` });
export const area = (description: string): JsonSchema => ({
  type: 'number',
  minimum: 0,
  description: `${description}, mm^2`,
});
export const oneOf = (description: string, words: readonly string[]): JsonSchema => ({ enum: words, description });
export const list = (items: JsonSchema, description: string): JsonSchema => ({ type: 'array', items, description });
export const ref = (name: string): JsonSchema => ({ $ref: `#/$defs/${name}` });

/** An object with no other field; those in `optional` may be missing. */
export const fields = (required: Properties, optional: Properties = {}): JsonSchema => ({
  type: 'object',
  additionalProperties: false,
  required: Object.keys(required),
  properties: { ...required, ...optional },
});

export const point = (description: string): JsonSchema => ({
  type: 'array',
  items: { type: 'number' },
  minItems: 3,
  maxItems: 3,
  description: `${description}: x, y, z, mm`,
});

export const DRAFT = 'https://json-schema.org/draft/2020-12/schema';

/** A value that may be told to be missing. */
export const orNull = (schema: JsonSchema): JsonSchema => ({
  anyOf: [schema, { type: 'null' }],
  ...(schema.description === undefined ? {} : { description: schema.description }),
});
export const yes = (description: string): JsonSchema => ({ type: 'boolean', description });
export const whole = (description: string): JsonSchema => ({ type: 'integer', minimum: 0, description });
export const names = (description: string): JsonSchema => list({ type: 'string' }, description);
export const hash = (description: string): JsonSchema => ({ type: 'string', pattern: '^[0-9a-f]{64}$', description });
