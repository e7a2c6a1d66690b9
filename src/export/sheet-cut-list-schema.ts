import { fitUpSchema } from './fit-up-schema.ts';
import {
  area,
  count,
  deg,
  fields,
  gap,
  type JsonSchema,
  list,
  mm,
  oneOf,
  type Properties,
  point,
  ref,
  size,
  text,
} from './json-schema.ts';
import { CUT_LIST_FORMAT, CUT_LIST_VERSION } from './sheet-cut-list.ts';
import { stockDefs } from './stock-schema.ts';

/** JSON Schema (draft 2020-12) of what `cutListJson` writes. */
export const cutListSchema = (): JsonSchema => ({
  $schema: 'https://json-schema.org/draft/2020-12/schema',
  title: 'Cut list of a job: lengths mm, angles degrees, areas mm^2',
  ...fields({
    format: { const: CUT_LIST_FORMAT },
    version: { const: CUT_LIST_VERSION },
    madeBy: text('name and version of the program'),
    job: text('name of the job'),
    units: oneOf('what the job is written in; all lengths here are mm in any case', ['mm', 'in']),
    pieces: list(ref('piece'), 'pieces of tube to cut, in the order of the members'),
    merges: list(ref('merge'), 'where several members run into one'),
    elbows: list(ref('elbow'), 'turns welded up of straight pieces'),
    openings: list(ref('opening'), 'holes in the tubes'),
    masses: fields({
      total: kg('of all pieces whose density is known'),
      materials: list(fields({ material: text('name'), mass: kg('of its pieces') }), 'by material'),
      unknown: list(text('name of a section'), 'sections whose density is not known'),
    }),
    heat: list(
      fields({
        member: text('name of the member'),
        expansion: { type: 'number', description: 'growth of its material, 1e-6 per degree C' },
        growth: mm('how much longer the piece gets by the rise that the job names'),
      }),
      'growth with heat, where the job asks',
    ),
    stock: list(
      ref('stockPlan'),
      'how the pieces come out of what is bought, for the sections whose stock the job names',
    ),
    plates: list(ref('plate'), 'flat parts'),
    fitUp: fitUpSchema(),
  }),
  $defs: {
    section: section(),
    piece: piece(),
    end: end(),
    bending: bending(),
    solving: solving(),
    merge: merge(),
    elbow: elbow(),
    opening: opening(),
    ...stockDefs(),
    plate: plate(),
  },
});

const kg = (description: string): JsonSchema => ({ type: 'number', minimum: 0, description: `${description}, kg` });

const section = (): JsonSchema => {
  const kind = (word: string): Properties => ({ kind: { const: word } });
  const wall = { wall: size('wall') };
  const across = { width: size('width, across the witness line'), height: size('height, along the witness line') };
  return {
    description: 'measured size where calipers were used, else nominal',
    oneOf: [
      fields({ ...kind('round'), od: size('outside diameter'), ...wall }),
      fields({ ...kind('flat-oval'), ...across, ...wall }),
      fields({ ...kind('ellipse'), ...across, ...wall }),
      fields({ ...kind('rectangle'), ...across, ...wall, cornerRadius: gap('outside corner radius') }),
    ],
  };
};

const piece = (): JsonSchema =>
  fields(
    {
      member: text('name of the member'),
      section: ref('section'),
      stockLength: size('least stock, long point to long point along the centerline'),
      longLength: size('long point to long point along the centerline'),
      shortLength: mm('short point to short point along the centerline'),
      developedLength: size('of the drawn centerline, work point to work point'),
      metal: { type: 'number', exclusiveMinimum: 0, description: 'metal between the cuts, mm^3' },
      ends: { ...list(ref('end'), 'start, then end'), minItems: 2, maxItems: 2 },
      points: list(
        fields({ at: point('start, corner or end of the drawn centerline') }, { clr: size('at a corner') }),
        'start, corners and end; a bend of 180 degrees has no corner',
      ),
      solved: solvedList('values that the job left to solve'),
    },
    {
      mirrorOf: text('the member that this one mirrors'),
      tapers: list(
        fields(
          {
            from: mm('where it begins, from the start of the drawn centerline'),
            length: size('along the heading'),
            to: ref('section'),
          },
          {
            offset: {
              ...list({ type: 'number' }, 'of its end beside its start: right, up, mm'),
              minItems: 2,
              maxItems: 2,
            },
          },
        ),
        'where the section changes, in order; `section` is the one at the start',
      ),
      material: text('as the job names it'),
      mass: kg('of the piece'),
      bending: ref('bending'),
      solving: ref('solving'),
    },
  );

const end = (): JsonSchema =>
  fields(
    {
      end: oneOf('which end of the member', ['start', 'end']),
      cut: oneOf('plain: stays as it comes; flat: a saw cut; curved: coped', ['plain', 'flat', 'curved']),
      gap: gap('weld gap taken off here'),
      longPoint: mm('from the long point of the other end, along the centerline'),
      shortPoint: mm('from the long point of the other end, along the centerline'),
    },
    {
      joint: text('name of the joint'),
      shrink: gap('added to the length for what the weld draws in'),
      jointKind: oneOf('what the joint is', ['miter', 'cope', 'merge', 'trim', 'butt', 'plain']),
      flat: fields({
        miterDeg: deg('from a square cut'),
        longPointDeg: deg('side of the long point, clockwise from the witness line looking from start to end'),
        center: mm('where the cut meets the centerline, from the long point of the other end'),
      }),
      inBend: fields(
        {
          bend: count('which bend of the member, from 1'),
          clr: size('centerline radius'),
          bendAngleDeg: deg('of the whole bend'),
          inside: mm('mark along the inside of the bend from the tangent point on the kept side'),
          outside: mm('mark along the outside of the bend from there'),
        },
        {
          intoBendDeg: deg('of the centerline, from the tangent point on the kept side'),
          center: mm('along the centerline from there'),
        },
      ),
      inTaper: fields(
        {
          taper: count('which taper of the member, from 1'),
          marks: {
            ...list(
              fields({
                turnDeg: deg('of the line, clockwise from the witness line looking from start to end'),
                axis: mm('from the long point of the other end, along the centerline'),
                slant: mm("on the tube's own surface, from the cut at the other end"),
              }),
              'up, right, down, left',
            ),
            minItems: 4,
            maxItems: 4,
          },
        },
        { width: size('outside, where a flat cut meets the centerline'), height: size('outside there') },
      ),
      ordinates: list(
        fields({
          turnDeg: deg('share of the turn from the witness line, clockwise looking from start to end'),
          around: mm('the same place round the outside'),
          cutBack: mm('back from the long point along the centerline'),
        }),
        'of a curved cut, on the outside of the tube',
      ),
    },
  );

const bending = (): JsonSchema =>
  fields(
    {
      rows: list(
        fields(
          {
            straight: mm('straight before the bend, between tangent points'),
            planeOfBendDeg: deg('turn from the plane of the bend before, clockwise looking along'),
            bendAngleDeg: deg('degree of bend'),
            clr: size('centerline radius'),
            arcLength: size('along the centerline'),
            from: point('tangent point where the bend starts'),
            to: point('tangent point where it ends'),
          },
          {
            nominal: fields({ clr: size('asked of the bender'), bendAngleDeg: deg('asked of the bender') }),
          },
        ),
        'bends in order, as measured where they were',
      ),
      last: mm('straight behind the last bend'),
    },
    {
      fromStart: reach('from the long point at the start to the first bend that the cut leaves'),
      toEnd: reach('from the last bend that the cut leaves to the long point at the end'),
    },
  );

const reach = (description: string): JsonSchema => ({
  description,
  ...fields({
    bend: count('which bend, from 1'),
    straight: mm('between long point and tangent point; below 0 where the cut lies within the bend'),
  }),
});

const solvedList = (description: string): JsonSchema =>
  list(
    fields({
      what: text('what was solved'),
      value: { type: 'number' },
      unit: oneOf('unit of the value', ['mm', 'deg']),
    }),
    description,
  );

const solving = (): JsonSchema =>
  fields({
    by: oneOf('the only answer, the nearest to what the job says, or of several the one with the least bend in all', [
      'only one',
      'near',
      'least bend',
    ]),
    others: list(
      fields({ solved: solvedList('its values'), developedLength: size('of the centerline') }),
      'other answers that meet the goals',
    ),
    tried: list(fields({ choice: text('from stock'), why: text('why it does not do') }), 'choices that do not do'),
    wanted: list(text('what'), 'what the job says of the answer'),
  });

const merge = (): JsonSchema =>
  fields({
    joint: text('name of the joint'),
    legs: list(text('name of a leg'), 'members that run in'),
    trunk: text('the member they run into'),
    legArea: area('bores of the legs together'),
    trunkArea: area('bore of the trunk'),
    ratio: { type: 'number', description: 'bore of the trunk over the bores of the legs' },
    openArea: area('left open at the start of the trunk'),
    cusps: list(fields({ area: area('of one open place'), at: point('its middle') }), 'open places, largest first'),
    bestShift: fields({
      shift: mm('move of the trunk start along its heading'),
      area: area('left open then'),
    }),
  });

const elbow = (): JsonSchema => {
  const lengths = (): JsonSchema =>
    fields({
      heel: mm('on the outside line of the turn'),
      center: mm('on the axis'),
      throat: mm('on the inside line of the turn'),
    });
  return fields(
    {
      elbow: text('name of the elbow'),
      member: text('name of the member it is in'),
      section: ref('section'),
      clr: size('centerline radius'),
      bendAngleDeg: deg('of the whole turn'),
      welds: count('welds'),
      gap: gap('weld gap at each weld'),
      miterDeg: deg('of every cut, from square'),
      pieces: list(text('name of a piece'), 'end piece, middle pieces, end piece'),
      middle: { ...lengths(), description: 'middle piece between its cuts' },
      end: { ...lengths(), description: 'end piece, without the straight it is one with' },
      ordinates: list(
        fields({
          turnDeg: deg('share of the turn round the tube from the heel'),
          around: mm('the same place round the outside'),
          cutBack: mm('back from the long point'),
          end: mm('length of an end piece there'),
          middle: mm('length of a middle piece there'),
        }),
        'on equally spaced lines',
      ),
    },
    {
      centerToFace: size('corner of the two axes to the face of an end piece without straight'),
      cutting: fields({
        kerf: size("of the shop's saw"),
        stub: mm('short side of what the first cut frees'),
        used: mm('from the raw end to the long point of the miter that is left on the tube'),
        cuts: list(
          fields(
            {
              number: count('from 1'),
              rollDeg: deg('how the tube lies'),
              a: mm('from the raw end to the kept edge on the heel line of the first piece'),
              b: mm('the same on the opposite line'),
            },
            { piece: text('what comes off; the first cut frees a stub') },
          ),
          'middle pieces off one straight tube, turned over between cuts',
        ),
      }),
    },
  );
};

const opening = (): JsonSchema =>
  fields({
    opening: text('name of the hole: the end of the branch, or its own'),
    on: text('name of the piece it is in'),
    edge: oneOf('what makes it: bore or outside of a branch, or its own shape', ['bore', 'outside', 'own']),
    fromStart: mm('axis on the outside, along the centerline from the long point at the start'),
    fromEnd: mm('the same from the long point at the end'),
    turnDeg: deg('share of the turn from the witness line, clockwise looking from start to end'),
    around: mm('the same round the outside'),
    toStart: mm('edge from the axis, toward the start'),
    toEnd: mm('toward the end'),
    toLeft: mm('round the outside, counterclockwise'),
    toRight: mm('clockwise'),
    edgePoints: list(
      fields({ around: mm('round the outside, clockwise'), along: mm('along the tube, toward its end') }),
      'edge on the outside from the axis, even steps round what makes the hole',
    ),
    through: { type: 'boolean', description: 'the hole goes through the whole wall all round' },
  });

const plate = (): JsonSchema =>
  fields(
    {
      plate: text('name of the flat part, and stem of its files'),
      kind: oneOf('what it is', ['through', 'flange', 'gusset', 'filler']),
      thickness: size('of the sheet'),
      width: size('of the box round the outline, along its own x'),
      height: size('along its own y'),
      area: area('without the holes'),
      cutLength: size('along all outlines'),
      holes: list(
        fields({
          for: text('the tube or bolt it is for'),
          x: mm('from the left of the box to where the axis passes'),
          y: mm('from the bottom of the box'),
          width: size('along x'),
          height: size('along y'),
          leanDeg: deg('of the tube from square to the sheet'),
        }),
        'in it',
      ),
    },
    { material: text('as the job names it') },
  );
