import { fields, gap, type JsonSchema, list, names, oneOf, point, text } from './json-schema.ts';

/** What is measured when the pieces of a job stand together. */
export const fitUpSchema = (): JsonSchema =>
  fields({
    points: list(
      fields(
        {
          name: text('of the work point: W1 and on'),
          ends: names('ends that lie there: member.start or member.end'),
          point: point('where axes meet, or the middle of a free end'),
        },
        { outside: point('where the long points of two miters meet') },
      ),
      'places to mark; none where the job is one member',
    ),
    distances: list(
      fields(
        {
          what: oneOf('across a four-sided frame, or between free ends of what one joint holds', [
            'diagonal',
            'free ends',
          ]),
          from: text('work point'),
          to: text('work point'),
          centers: gap('straight from one to the other'),
        },
        { outsides: gap('between their outside corners') },
      ),
      'to measure before and after tacking',
    ),
  });
