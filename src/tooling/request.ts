import type { Mm } from '../geometry/vector.ts';
import type { CutToolSpec, DatumChoice, OtherToolSpec, Saw, Shop, ToolKind } from '../job/job.ts';
import type { JobPath, Outcome, Problem, ProblemCode } from '../job/problem.ts';
import type { CutEnd, Piece, Solution, Surface } from '../solve/solution.ts';
import type { Tool } from './tool.ts';

/** The piece a tool is used on: of its two ends only which are cut. */
export type ToolPiece = Omit<Piece, 'startEnd' | 'finishEnd'> & {
  readonly startEnd?: Pick<CutEnd, 'id'>;
  readonly finishEnd?: Pick<CutEnd, 'id'>;
};

/** One tool asked for, by the job or by `auto`. */
export type ToolRequest = CutRequest | OtherRequest;

interface RequestBase {
  readonly name: string;
  readonly solution: Solution;
  readonly shop: Shop;
  readonly path: JobPath;
}

/** A tool that belongs to no one cut end, as the job asks for it. */
export interface OtherRequest<S extends OtherToolSpec = OtherToolSpec> extends RequestBase {
  readonly kind: S['kind'];
  readonly spec: S;
}

export type RequestOf<K extends ToolKind> = K extends CutToolSpec['kind']
  ? CutRequest
  : OtherRequest<Extract<OtherToolSpec, { readonly kind: K }>>;

/** A tool for one cut end, with every choice made that the file leaves open. */
export interface CutRequest extends RequestBase {
  readonly kind: CutToolSpec['kind'];
  readonly end: CutEnd;
  readonly piece: ToolPiece;
  readonly saw: Saw;
  readonly datum: DatumChoice;
  readonly surface: Surface;
  readonly parts: 'auto' | 1 | 2;
  readonly grip?: Mm;
}

export type ToolMaker<R extends ToolRequest = CutRequest> = (request: R) => Outcome<Tool>;

/** Direction outward of the body: +1 when the cut is at the member's end, -1 at its start. Outward coordinate t = dir * s. */
export const directionOf = (end: CutEnd): 1 | -1 => (end.end === 'end' ? 1 : -1);

/** A problem of one tool. */
export const toolProblem = (
  request: Pick<ToolRequest, 'name' | 'path'>,
  found: {
    readonly code: ProblemCode;
    readonly message: string;
    readonly hint: string;
    readonly measured?: number;
    readonly limit?: number;
  },
): Problem => ({
  severity: 'error',
  path: request.path,
  ...found,
  message: `${request.name}: ${found.message}`,
});
