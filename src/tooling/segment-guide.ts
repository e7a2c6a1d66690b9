import { frameAt } from '../geometry/centerline.ts';
import { elbowMiterDeg } from '../geometry/elbow.ts';
import { LEAST_WALL } from '../geometry/tolerance.ts';
import { cross, type Mm, scale, unit } from '../geometry/vector.ts';
import type { SegmentGuideSpec } from '../job/job.ts';
import type { Outcome, Problem } from '../job/problem.ts';
import { elbowLengths, type PieceLengths } from '../solve/elbows.ts';
import type { CutEnd, Elbow, FlatCut, Solution } from '../solve/solution.ts';
import { wrapped } from './label.ts';
import type { CutRequest, OtherRequest, ToolMaker } from './request.ts';
import { toolProblem } from './request.ts';
import { angleText, lengthText, markOf } from './revision.ts';
import { type GuidePlan, planGuide } from './saw-guide-plan.ts';
import { guideSolid } from './saw-guide-solid.ts';
import { slidingFit } from './stations.ts';
import type { Datum, Tool } from './tool.ts';

type Request = OtherRequest<SegmentGuideSpec>;

/** Gores shorter than this on the throat cannot be held between stop and blade. */
const LEAST_THROAT: Mm = 8;

/**
 * Saw guide for every middle piece of a segmented elbow: blade slot at the miter, and a stop that stands as the piece's
 * other end does, so that the tube's mitered end goes flat against it after half a turn. Each cut ends one piece and
 * begins the next; the first, with the raw end against the stop, makes the first miter.
 */
export const segmentGuide: ToolMaker<Request> = (request): Outcome<Tool> => {
  const planned = planSegmentGuide(request);
  return planned.value ? { value: toolOf(request, planned.value), problems: [] } : { problems: planned.problems };
};

interface Planned {
  readonly plan: GuidePlan;
  readonly elbow: Elbow;
  readonly start: FlatCut;
}

/** What stands in the way of a segment guide, or how it is laid out. */
export function planSegmentGuide(request: Request): Outcome<Planned> {
  const { solution, spec } = request;
  const elbow = elbowOf(solution, spec);
  if (!elbow) return { problems: [noElbow(request)] };
  const piece = elbow.pieces.length > 2 ? elbow.pieces[1] : undefined;
  const [start, end] = ['start', 'end'].map((name) =>
    solution.ends.find((candidate) => candidate.member.name === piece && candidate.end === name),
  );
  if (!start?.flat || !end?.flat) return { problems: [noMiddlePiece(request, elbow)] };
  const { middle } = elbowLengths(elbow);
  if (middle.throat < LEAST_THROAT) return { problems: [shortThroat(request, middle)] };
  const cut = cutRequest(request, end);
  const datum: Datum = { kind: 'end', s: start.longPoint, distance: middle.heel };
  const { heading } = frameAt(end.member.centerline, end.flat.s);
  const units = solution.job.units;
  const planned = planGuide(cut, end.flat, {
    // The same way up for every elbow of one shape: the guide is then the same, whichever way the turn goes.
    up: unit(cross(heading, end.flat.plane.normal)),
    datum,
    stopPlane: { point: start.flat.plane.point, normal: scale(start.flat.plane.normal, -1) },
    says: [
      [[elbow.name], ...wrapped(elbow.name)],
      [[`${angleText(end.flat.miterDeg)} miter`], [angleText(end.flat.miterDeg)]],
      [[`heel ${lengthText(middle.heel, units)}`], ['heel', lengthText(middle.heel, units)]],
    ],
  });
  if (!planned.value) return { problems: planned.problems.map((problem) => tooShort(problem, request)) };
  return { value: { plan: planned.value, elbow, start: start.flat }, problems: [] };
}

/** The elbow that a guide is for, if the member has it. */
export const elbowOf = ({ elbows }: Solution, spec: SegmentGuideSpec): Elbow | undefined =>
  elbows.filter(({ member }) => member === spec.elbow)[spec.number - 1];

function cutRequest({ solution, spec, ...rest }: Request, end: CutEnd): CutRequest {
  const { shop } = solution.job;
  const saw = shop.saws.find(({ name }) => name === (spec.saw ?? shop.saw));
  const piece = solution.pieces.find(({ member }) => member.name === end.member.name);
  if (!saw || !piece) throw new Error(`internal: segment guide for ${end.id} without saw or piece`);
  return {
    ...rest,
    kind: 'saw-guide',
    solution,
    end,
    piece,
    saw,
    datum: 'end',
    surface: 'outer',
    parts: 1,
    ...(spec.grip === undefined ? {} : { grip: spec.grip }),
  };
}

/** Elbows whose middle pieces one guide cuts: of one section, turned alike in it, with the same miter and lengths. */
export function sameGores(p: Elbow, q: Elbow): boolean {
  const of = (elbow: Elbow): string =>
    shapeNumbers(elbow)
      .map((x) => x.toFixed(3))
      .join(' ');
  return p.section.kind === q.section.kind && of(p) === of(q);
}

/** Everything of an elbow that shapes its middle pieces; a section is its own image after half a turn. */
function shapeNumbers(elbow: Elbow): readonly number[] {
  const { middle } = elbowLengths(elbow);
  const lean = elbow.section.kind === 'round' ? 0 : elbow.towardDeg % 180;
  const sizes = Object.values(elbow.section).filter((x) => typeof x === 'number');
  return [...sizes, lean, elbowMiterDeg(elbow), middle.heel, middle.center, middle.throat];
}

function revisionFor({ plan, elbow }: Planned): string {
  const { shop, saw } = plan.request;
  return markOf(
    ['segment-guide', saw.kind, elbow.section.kind],
    [
      shop.fit.slide,
      shop.wall,
      shop.strap.width,
      shop.strap.thickness,
      shop.chordTolerance,
      saw.kerf,
      saw.blade,
      saw.clearance,
      plan.wasteEnd - plan.keptEnd,
      plan.slotWidth,
      ...shapeNumbers(elbow),
    ],
  );
}

function toolOf(request: Request, planned: Planned): Tool {
  const { plan, elbow, start } = planned;
  const { request: cut, flat, datum, bed } = plan;
  if (!plan.stopPlane) throw new Error(`internal: ${request.name} has no stop`);
  const revision = revisionFor(planned);
  const { solid, pose } = guideSolid(plan, revision);
  const { middle } = elbowLengths(elbow);
  const alike = request.solution.elbows.filter((other) => sameGores(other, elbow));
  return {
    name: request.name,
    kind: 'segment-guide',
    title: `Segment guide for ${elbow.name}`,
    for: alike.map(({ name }) => name).join(', '),
    end: cut.end,
    path: request.path,
    revision,
    saw: cut.saw,
    datum,
    parts: [
      {
        name: request.name,
        solid,
        pose,
        tubes: [
          {
            member: cut.end.member,
            from: plan.dir > 0 ? datum.s : -plan.wasteEnd - 10,
            to: plan.dir > 0 ? plan.wasteEnd + 10 : datum.s,
            ends: [start.plane],
            insertion: { kind: 'lift', out: bed.at.z },
            clearance: slidingFit(cut.shop, cut.end.member),
          },
        ],
        leastWall: LEAST_WALL,
        features: [
          {
            kind: 'slot',
            cut: flat.plane,
            keptOffset: (cut.saw.kerf - plan.slotWidth) / 2,
            width: plan.slotWidth,
            kerf: cut.saw.kerf,
          },
          { kind: 'datum', plane: plan.stopPlane, s: start.s, by: 'stop' },
        ],
      },
    ],
    facts: [
      { label: 'saw', value: `${cut.saw.name} (${cut.saw.kind})` },
      { label: 'from square', value: flat.miterDeg, unit: 'deg' },
      { label: 'heel, long side', value: middle.heel, unit: 'mm' },
      { label: 'throat, short side', value: middle.throat, unit: 'mm' },
      { label: 'pieces to cut', value: alike.map(piecesText).join('; ') },
      { label: 'slot', value: plan.slotWidth, unit: 'mm' },
      { label: 'kerf on the side of the tube', value: cut.saw.kerf, unit: 'mm' },
    ],
    use: useOf(planned, alike),
  };
}

const piecesText = ({ pieces }: Elbow): string =>
  pieces.length === 3 ? pieces[1]! : `${pieces[1]} to ${pieces.at(-2)}`;

function useOf({ plan, elbow }: Planned, alike: readonly Elbow[]): readonly string[] {
  const { units } = plan.request.solution.job;
  const { middle } = elbowLengths(elbow);
  const count = alike.reduce((sum, { welds }) => sum + welds - 1, 0);
  const saw =
    plan.request.saw.kind === 'vertical-band'
      ? 'slide the guide flat on the table, open side of the slot to the blade, until the tube is through: the bridge stays whole'
      : 'clamp the base and bring the blade down between the posts until the tube is through: the base stays whole';
  return [
    rollText(elbow),
    `First cut: raw end sawn square, pushed against the stop, tube strapped down; ${saw}. The stub, ${lengthText(middle.throat, units)} on its short side, is over.`,
    'Roll the tube half a turn: each scribed line comes to the other side. Push the mitered end flat against the stop, strap piece and tube, cut. The piece between stop and blade is a gore.',
    `Repeat, half a turn before every cut: ${count} in all. The arrow points to the gore; the kerf comes off the tube behind it.`,
    'The miter left on the tube is the start of an end piece: cut its other end by the cut list. A second end piece begins with a first cut on another raw end.',
  ];
}

/** How the tube lies, and the lines that show half a turn. */
function rollText({ section, towardDeg }: Elbow): string {
  const lines =
    'mark it at both lines on the end face of the guide it is fed in by, and scribe along the tube from each mark';
  if (section.kind === 'round') return `Lay the tube in, ${lines}: they are half a turn apart.`;
  const heel = Math.round((((towardDeg + 180) % 360) + 360) % 360);
  return `Lay the tube in as the channel takes it, ${lines}. The heel of the turn is the side ${heel} deg clockwise from up in the job.`;
}

const noElbow = (request: Request): Problem => {
  const { elbow, number } = request.spec;
  const there = request.solution.elbows.filter(({ member }) => member === elbow).length;
  return toolProblem(request, {
    code: 'tool/cannot-build',
    message: `"${elbow}" has ${there} elbow${there === 1 ? '' : 's'}; the guide is asked for number ${number}`,
    hint: 'name a member with an `elbow` in its run',
    measured: number,
    limit: there,
  });
};

const noMiddlePiece = (request: Request, { name }: Elbow): Problem =>
  toolProblem(request, {
    code: 'tool/cannot-build',
    message: `${name} has one weld and so no middle pieces for a segment guide`,
    hint: 'ask for a saw-guide at the ends of its two pieces, or give the elbow more welds',
  });

const shortThroat = (request: Request, { throat }: PieceLengths): Problem =>
  toolProblem(request, {
    code: 'tool/cannot-build',
    message: `the gores are ${lengthText(throat, 'mm')} long on the throat, too short to hold between stop and blade, limit ${lengthText(LEAST_THROAT, 'mm')}`,
    hint: 'cut them by wrap templates, give the elbow fewer welds, or a larger clr',
    measured: throat,
    limit: LEAST_THROAT,
  });

/** The plan of a saw guide tells of bends and grips; here it is the gore that is too short. */
const tooShort = (problem: Problem, request: Request): Problem =>
  problem.code === 'tool/crosses-bend'
    ? toolProblem(request, {
        code: 'tool/cannot-build',
        message: 'the gores are too short on the throat for the blade to leave the guide whole between stop and slot',
        hint: 'cut them by wrap templates, give the elbow fewer welds, or a larger clr',
      })
    : problem;
