import { elbowName } from '../job/elbow-names.ts';
import type { CutToolSpec, OtherToolSpec, ToolKind, ToolSpec } from '../job/job.ts';
import type { Outcome, Problem } from '../job/problem.ts';
import type { CutEnd, Elbow, Solution } from '../solve/solution.ts';
import { angleBlock } from './angle-block.ts';
import { fitToBed, takesBed } from './bed-fit.ts';
import { clockingRing } from './clocking-ring.ts';
import { drillGuide } from './drill-guide.ts';
import { fitCoupon } from './fit-coupon.ts';
import { fitUpCradle, heldName } from './fit-up-cradle.ts';
import { markingGauge } from './marking-gauge.ts';
import { notchCollar } from './notch-collar.ts';
import { openingGauge } from './opening-gauge.ts';
import { openingNamed, planOpeningGauge } from './opening-gauge-plan.ts';
import type { CutRequest, RequestOf, ToolMaker, ToolRequest } from './request.ts';
import { sawGuide } from './saw-guide.ts';
import { planGuide } from './saw-guide-plan.ts';
import { elbowOf, planSegmentGuide, sameGores, segmentGuide } from './segment-guide.ts';
import { planSleeve } from './sleeve-plan.ts';
import { spacer } from './spacer.ts';
import { standIn } from './stand-in.ts';
import type { Tool } from './tool.ts';

interface ToolEntry<R extends ToolRequest> {
  readonly make: ToolMaker<R>;
  /** What it is shaped by besides the shop: its own cut end and piece, or anything in the job. Decides when it is made again. */
  readonly looksAt: 'end' | 'job';
  /** It parts itself where the bed is smaller than it. */
  readonly partsItself?: true;
  /** What stands in the way of it, told before anything is shaped: cheap, so that `auto` can choose by it. */
  readonly inTheWay?: (request: R) => readonly Problem[];
}

/** What a tool that belongs to no one cut end is called after, before its kind. */
interface Named<K extends ToolKind> {
  readonly subject?: (spec: Extract<OtherToolSpec, { readonly kind: K }>) => string;
}

/** Every kind of printed tool: a new one is a file and a line here. */
const TOOLS: { readonly [K in ToolKind]: ToolEntry<RequestOf<K>> & Named<K> } = {
  'saw-guide': {
    make: sawGuide,
    looksAt: 'end',
    inTheWay: (request) =>
      request.end.flat ? planGuide(request, request.end.flat).problems : sawGuide(request).problems,
  },
  'marking-gauge': {
    make: markingGauge,
    looksAt: 'end',
    inTheWay: (request) => planSleeve(request, 'box').problems,
  },
  'notch-collar': {
    make: notchCollar,
    looksAt: 'end',
    inTheWay: (request) => planSleeve(request, 'even').problems,
  },
  'angle-block': { make: angleBlock, looksAt: 'job' },
  'fit-coupon': { make: fitCoupon, looksAt: 'job', subject: ({ section }) => section },
  'clocking-ring': { make: clockingRing, looksAt: 'job', subject: ({ member }) => member },
  'drill-guide': { make: drillGuide, looksAt: 'job', subject: ({ member }) => member },
  spacer: { make: spacer, looksAt: 'job', subject: ({ members }) => members.slice(0, 2).join('-') },
  'stand-in': {
    make: standIn,
    looksAt: 'job',
    partsItself: true,
    subject: ({ of }) => (of.kind === 'member' ? of.member : of.section),
  },
  'segment-guide': {
    make: segmentGuide,
    looksAt: 'job',
    inTheWay: (request) => planSegmentGuide(request).problems,
    subject: ({ elbow, number }) => elbowName(elbow, number),
  },
  'opening-gauge': {
    make: openingGauge,
    looksAt: 'job',
    inTheWay: (request) => planOpeningGauge(request).problems,
    subject: ({ opening }) => opening.replace('.', '-'),
  },
  'fit-up-cradle': { make: fitUpCradle, looksAt: 'job', partsItself: true, subject: heldName },
};

/** The entry of a request's kind takes requests of that kind, which the compiler cannot see through the union. */
const entryOf = (request: ToolRequest): ToolEntry<ToolRequest> =>
  TOOLS[request.kind] as unknown as ToolEntry<ToolRequest>;

/** Shape one tool; nothing is built yet. */
export function makeTool(request: ToolRequest): Outcome<Tool> {
  const { make, partsItself } = entryOf(request);
  const made = make(request);
  return partsItself ? made : fitToBed(request, { made, make });
}

export const toolLooksAt = (request: ToolRequest): 'end' | 'job' => entryOf(request).looksAt;

/** Make every tool the job asks for; `auto` gives each cut end what suits it and has room there. */
export function makeTools(solution: Solution): Outcome<readonly Tool[]> {
  const requested = requestTools(solution);
  const outcomes = requested.requests.map(makeTool);
  const problems = [...requested.problems, ...outcomes.flatMap((outcome) => outcome.problems)];
  return { value: outcomes.flatMap((outcome) => outcome.value ?? []), problems };
}

const defaultName = (end: CutEnd, kind: ToolKind): string => `${end.member.name}-${end.end}-${kind}`;

/** The tools that would be made, by name and kind, before any is shaped. */
export function requestTools(solution: Solution): {
  readonly requests: readonly ToolRequest[];
  readonly problems: readonly Problem[];
} {
  const { tools, restAuto } = solution.job;
  const named = tools === 'auto' ? [] : tools;
  const left = tools === 'auto' || restAuto ? solution.ends.filter((end) => !named.some(isFor(end))) : [];
  const elbows = elbowGuides(solution, { named, left });
  const outcomes = [
    ...named.map((spec, index) => asked(solution, spec, index)),
    ...elbows.requests.map((request) => ({ value: request, problems: [] })),
    ...left.filter((end) => !elbows.served.has(end.id)).map((end) => automatic(solution, end)),
    ...(tools === 'auto' || restAuto ? openingGauges(solution, named) : []),
  ];
  const requests = outcomes.flatMap((outcome) => outcome.value ?? []);
  return { requests, problems: [...outcomes.flatMap((outcome) => outcome.problems), ...duplicates(requests)] };
}

function asked(solution: Solution, spec: ToolSpec, index: number): Outcome<ToolRequest> {
  if (!isCutTool(spec)) return { value: otherRequest(solution, spec, index), problems: [] };
  const end = endOf(solution, spec);
  return end ? { value: requestOf(solution, end, spec), problems: [] } : { problems: [noCut(spec)] };
}

const isFor =
  ({ member, end }: CutEnd) =>
  (spec: ToolSpec): boolean =>
    isCutTool(spec) && spec.end.member === member.name && spec.end.end === end;

const isCutTool = (spec: ToolSpec): spec is CutToolSpec => 'end' in spec && 'datum' in spec;

/** Without a name it is called after what it is for and its kind, numbered where there are several. */
function otherRequest(solution: Solution, spec: OtherToolSpec, index: number): ToolRequest {
  const { job } = solution;
  const stem = stemOf(spec);
  const tools = job.tools === 'auto' ? [] : job.tools;
  const same = tools.filter((tool) => !tool.name && !isCutTool(tool) && stemOf(tool) === stem);
  const before = tools.slice(0, index).filter((tool) => same.includes(tool));
  const name = spec.name ?? (same.length > 1 ? `${stem}-${before.length + 1}` : stem);
  return { kind: spec.kind, name, solution, shop: job.shop, spec, path: spec.path };
}

function stemOf(spec: OtherToolSpec): string {
  const { subject } = TOOLS[spec.kind] as Named<typeof spec.kind>;
  const named = subject?.(spec as never);
  return named === undefined ? spec.kind : `${named}-${spec.kind}`;
}

/**
 * One segment guide for all elbows alike, where it can be made, and the cuts that need no other tool then: all their welds,
 * those of end pieces too, which are what a first cut leaves. Elbows that the job names a guide for are served by it.
 */
function elbowGuides(
  solution: Solution,
  { named, left }: { readonly named: readonly ToolSpec[]; readonly left: readonly CutEnd[] },
): { readonly requests: readonly ToolRequest[]; readonly served: ReadonlySet<string> } {
  const { elbows } = solution;
  const requests: ToolRequest[] = [];
  const served = new Set<string>();
  const serve = (elbow: Elbow): void => {
    for (const alike of elbows) if (sameGores(alike, elbow)) for (const cut of weldCuts(alike)) served.add(cut);
  };
  for (const spec of named) {
    const elbow = spec.kind === 'segment-guide' ? elbowOf(solution, spec) : undefined;
    if (elbow) serve(elbow);
  }
  for (const elbow of elbows) {
    const cuts = weldCuts(elbow);
    if (!left.some(({ id }) => cuts.includes(id) && !served.has(id))) continue;
    const number = elbows.filter(({ member }) => member === elbow.member).indexOf(elbow) + 1;
    const spec = { kind: 'segment-guide', path: elbow.path, elbow: elbow.member, number } as const;
    const request = otherRequest(solution, spec, 0);
    if ((entryOf(request).inTheWay?.(request) ?? []).length > 0) continue;
    requests.push(request);
    serve(elbow);
  }
  return { requests, served };
}

/** A gauge for every opening that the job names none for; where none can be put on, that is said. */
const openingGauges = (solution: Solution, named: readonly ToolSpec[]): readonly Outcome<ToolRequest>[] =>
  solution.openings
    .filter(
      (opening) =>
        !named.some((spec) => spec.kind === 'opening-gauge' && openingNamed(solution, spec.opening) === opening),
    )
    .map((opening) => {
      const spec = { kind: 'opening-gauge', path: opening.path, opening: opening.name, datum: 'auto' } as const;
      const request = otherRequest(solution, spec, 0);
      const inTheWay = entryOf(request).inTheWay?.(request) ?? [];
      return inTheWay.length === 0 ? { value: request, problems: [] } : { problems: inTheWay.map(warned) };
    });

/** Both sides of every weld of an elbow. */
const weldCuts = ({ pieces }: Elbow): readonly string[] =>
  pieces.slice(1).flatMap((piece, i) => [`${pieces[i]}.end`, `${piece}.start`]);

/**
 * Flat cuts, on a straight or in a bend, are sawn in a guide; curved ones, and flat ones where a guide has no room, are
 * scribed along a collar. Nobody asked for this very tool, so where nothing fits the job goes on without, saying so.
 */
function automatic(solution: Solution, end: CutEnd): Outcome<ToolRequest> {
  const kinds: readonly CutToolSpec['kind'][] = end.flat ? ['saw-guide', 'notch-collar'] : ['notch-collar'];
  const ref = { member: end.member.name, end: end.end, path: end.path };
  const spec = { end: ref, datum: 'auto', surface: 'outer', parts: 'auto', path: end.path } as const;
  const tries = kinds.map((kind) => {
    const request = requestOf(solution, end, { ...spec, kind });
    const inTheWay = entryOf(request).inTheWay?.(request) ?? [];
    return { request, inTheWay: inTheWay.length > 0 ? inTheWay : larger(request) };
  });
  const fits = tries.find(({ inTheWay }) => inTheWay.length === 0);
  if (fits) return { value: fits.request, problems: [] };
  return { problems: tries[0]!.inTheWay.map(warned) };
}

/** What of a tool that nobody asked for is larger than the bed, in however many pieces. */
function larger(request: CutRequest): readonly Problem[] {
  let problems: readonly Problem[] = [];
  const shaped = (): Outcome<Tool> => {
    const made = makeTool(request);
    problems = made.problems;
    return made;
  };
  return takesBed(request, shaped) ? [] : problems.filter(({ code }) => code === 'tool/larger-than-bed');
}

const warned = (problem: Problem): Problem => ({
  ...problem,
  severity: 'warning',
  message: `${problem.message}; no tool is made for it`,
});

const endOf = (solution: Solution, spec: CutToolSpec): CutEnd | undefined =>
  solution.ends.find((end) => end.member.name === spec.end.member && end.end === spec.end.end);

function requestOf(solution: Solution, end: CutEnd, spec: CutToolSpec): CutRequest {
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

const noCut = (spec: CutToolSpec): Problem => ({
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
