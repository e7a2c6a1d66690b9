import { deg, fields, gap, type JsonSchema, list, mm, type Properties, ref, size, text } from './json-schema.ts';

const flag = (description: string): JsonSchema => ({ type: 'boolean', description });
const pair = (items: JsonSchema, description: string): JsonSchema => ({
  ...list(items, description),
  minItems: 2,
  maxItems: 2,
});

/** What `cutListSchema` says of stock and the plans to cut it up. */
export const stockDefs = (): Properties => ({
  stockPlan: fields({
    section: text('name of the section'),
    saw: text('name of the saw that parts it'),
    kerf: size('width the blade takes'),
    squareEnd: gap('sawn off each raw end, kerf included'),
    trim: gap('left on each cut end'),
    grip: gap('added at each end of what is bent from a length'),
    gripByBender: flag('grip is what bent ends are short of the bender of the shop, the longest told'),
    sticks: list(ref('stick'), 'bought lengths'),
    sticksProved: flag('no plan buys less length, nor as little in fewer sticks'),
    bends: list(ref('cutBend'), 'bought bends'),
    bendsProved: flag('no plan buys less of bends'),
    needs: list(ref('bendNeed'), 'what each piece with a bend needs'),
  }),
  stick: fields({
    length: size('bought length'),
    onHand: flag('from the rack, not to be bought'),
    pieces: list(ref('stickPart'), 'from the datum end on'),
    left: gap('behind the last cut, raw end included'),
  }),
  stickPart: fields({
    member: text('name of the member'),
    from: mm('first long point, from the datum end'),
    to: mm('last long point, from the datum end'),
    turned: flag('laid with the end of the member toward the datum'),
    bent: flag('sawn straight and bent afterwards'),
    ends: pair(
      fields({
        miterDeg: deg('from a square cut; 0 where the end is parted square'),
        reach: gap('how far the short point lies back'),
        shared: flag('the same pass makes the cut of the neighbor'),
        sameSide: flag('both long points of the piece lie on one side'),
      }),
      'nearer the datum first',
    ),
  }),
  cutBend: fields({
    clr: size('centerline radius'),
    bendAngleDeg: deg('of the bought bend'),
    legs: pair(gap('straight'), 'before and behind the bend'),
    pieces: list(
      fields({
        member: text('name of the member'),
        fromDeg: deg('from the first tangent point'),
        toDeg: deg('from the first tangent point'),
        legs: pair(gap('straight that goes with it'), 'at the first leg and at the last'),
        turned: flag('laid with the end of the member toward the first leg'),
      }),
      'from the first leg on',
    ),
    left: list(
      fields({
        fromDeg: deg('from the first tangent point'),
        toDeg: deg('from the first tangent point'),
        arcLength: size('along the centerline'),
      }),
      'arcs left over',
    ),
  }),
  bendNeed: fields(
    {
      member: text('name of the member'),
      clr: size('centerline radius'),
      arcDeg: deg('least turn that holds the piece'),
      legs: pair(gap('straight it needs'), 'at its start and end'),
    },
    {
      stock: fields({
        bendAngleDeg: deg('of the least bought bend that holds it'),
        legs: pair(gap('straight'), 'of that bend'),
      }),
    },
  ),
});
