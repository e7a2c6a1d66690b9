import type { ToolSpec } from '../job/job.ts';
import type { Outcome, Problem } from '../job/problem.ts';
import type { CutEnd, Solution } from '../solve/solution.ts';
import { markingGauge } from './marking-gauge.ts';
import { notchCollar } from './notch-collar.ts';
import type { ToolMaker, ToolRequest } from './request.ts';
import { sawGuide } from './saw-guide.ts';
import type { Tool, ToolKind } from './tool.ts';

/** Every kind of printed tool: a new one is a file and a line here. */
export const TOOL_MAKERS: { readonly [kind in ToolKind]: ToolMaker } = {
  'saw-guide': sawGuide,
  'marking-gauge': markingGauge,
  'notch-collar': notchCollar,
};

/** What a tool is shaped by besides the shop: its own cut end and piece, or anything in the job. Decides when it is made again. */
export const TOOL_LOOKS_AT: { readonly [kind in ToolKind]: 'end' | 'job' } = {
  'saw-guide': 'end',
  'marking-gauge': 'end',
  'notch-collar': 'end',
};

/** Make every tool the job asks for; `auto` gives each cut end what suits it. */
export function makeTools(solution: Solution): Outcome<readonly Tool[]> {
  const requested = requestTools(solution);
  const make = solution.job.tools === 'auto' ? makeWhatFits : makeAsked;
  const outcomes = requested.requests.map(make);
  const problems = [...requested.problems, ...outcomes.flatMap((outcome) => outcome.problems)];
  return { value: outcomes.flatMap((outcome) => outcome.value ?? []), problems };
}

const makeAsked = (request: ToolRequest): Outcome<Tool> => TOOL_MAKERS[request.kind](request);

/**
 * Nobody asked for this very tool: where a saw guide has no room a collar with the same flat rim is made instead, and where
 * nothing fits the job goes on without, saying so.
 */
function makeWhatFits(request: ToolRequest): Outcome<Tool> {
  const first = makeAsked(request);
  if (first.value) return first;
  const instead: ToolRequest = { ...request, kind: 'notch-collar', name: defaultName(request.end, 'notch-collar') };
  const second = request.kind === 'notch-collar' ? first : makeAsked(instead);
  if (second.value) return second;
  return {
    problems: first.problems.map((problem) => ({
      ...problem,
      severity: 'warning' as const,
      message: `${problem.message}; no tool is made for it`,
    })),
  };
}

const defaultName = (end: CutEnd, kind: ToolKind): string => `${end.member.name}-${end.end}-${kind}`;

/** The tools that would be made, by name and kind, before any is shaped. */
export function requestTools(solution: Solution): {
  readonly requests: readonly ToolRequest[];
  readonly problems: readonly Problem[];
} {
  const { tools } = solution.job;
  const wanted =
    tools === 'auto'
      ? solution.ends.map((end) => ({ end, spec: automatic(end) }))
      : tools.map((spec) => ({ end: endOf(solution, spec), spec }));
  const problems = wanted.flatMap(({ end, spec }) => (end ? [] : [noCut(spec)]));
  const requests = wanted.flatMap(({ end, spec }) => (end ? [requestOf(solution, end, spec)] : []));
  return { requests, problems: [...problems, ...duplicates(requests)] };
}

/** Flat cuts, on a straight or in a bend, are sawn in a guide; curved ones are scribed along a collar. */
const automatic = (end: CutEnd): ToolSpec => ({
  kind: end.flat ? 'saw-guide' : 'notch-collar',
  end: { member: end.member.name, end: end.end, path: end.path },
  datum: 'auto',
  surface: 'outer',
  parts: 'auto',
  path: end.path,
});

const endOf = (solution: Solution, spec: ToolSpec): CutEnd | undefined =>
  solution.ends.find((end) => end.member.name === spec.end.member && end.end === spec.end.end);

function requestOf(solution: Solution, end: CutEnd, spec: ToolSpec): ToolRequest {
  const { shop } = solution.job;
  const saw = shop.saws.find((candidate) => candidate.name === (spec.saw ?? shop.saw));
  const piece = solution.pieces.find((candidate) => candidate.member.name === end.member.name);
  if (!saw || !piece) throw new Error(`internal: tool for ${end.id} without saw or piece`);
  return {
    kind: spec.kind,
    name: spec.name ?? defaultName(end, spec.kind),
    solution,
    shop,
    end,
    piece,
    saw,
    datum: spec.datum,
    surface: spec.surface,
    parts: spec.parts,
    ...(spec.grip === undefined ? {} : { grip: spec.grip }),
    path: spec.path,
  };
}

const noCut = (spec: ToolSpec): Problem => ({
  code: 'tool/no-cut',
  severity: 'error',
  path: spec.path,
  message: `a ${spec.kind} is asked for ${spec.end.member}.${spec.end.end}, but no joint cuts that end`,
  hint: 'add a joint (miter, cope, merge, butt or trim) for it, or take the tool away',
});

/** Names become files; two that differ only in case are one file on some disks. */
function duplicates(requests: readonly ToolRequest[]): readonly Problem[] {
  return requests.flatMap((request, i) => {
    const first = requests.findIndex((other) => other.name.toLowerCase() === request.name.toLowerCase());
    if (first === i) return [];
    return [
      {
        code: 'tool/duplicate-name' as const,
        severity: 'error' as const,
        path: request.path,
        message: `two tools are named "${request.name}"`,
        hint: 'give one of them a `name`',
      },
    ];
  });
}
