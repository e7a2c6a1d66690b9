import { FIELD_ROWS, YAML_ROWS } from './field-cases.ts';
import type { BadInput } from './job-text.ts';
import { SOLVE_ROWS } from './solve-cases.ts';
import { TRADE_ROWS, UNIT_ROWS } from './trade-cases.ts';

export type { BadInput };

/** Job texts that must be refused, each for one reason. */
export const BAD_INPUTS: readonly BadInput[] = [
  ...YAML_ROWS,
  ...FIELD_ROWS,
  ...UNIT_ROWS,
  ...TRADE_ROWS,
  ...SOLVE_ROWS,
];
