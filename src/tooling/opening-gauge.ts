import { frameAt } from '../geometry/centerline.ts';
import { LEAST_WALL } from '../geometry/tolerance.ts';
import { scale } from '../geometry/vector.ts';
import type { Outcome } from '../job/problem.ts';
import { wrapped } from './label.ts';
import { lineDeg, type OpeningGaugePlan, type OpeningRequest, planOpeningGauge } from './opening-gauge-plan.ts';
import { gaugeSolid } from './opening-gauge-solid.ts';
import type { ToolMaker } from './request.ts';
import { angleText, lengthText, markOf, sizesOf, taperNumbers } from './revision.ts';
import { slidingFit } from './stations.ts';
import type { Tool } from './tool.ts';

/**
 * Saddle with a window for a hole in a tube: the window's walls stand on the hole's edge, straight out from the tube, so
 * that a scriber or a cutter that follows them cuts the hole. It drops onto the tube, less than half round or with upright
 * sides, and is set by a scribed cross or against a square end.
 */
export const openingGauge: ToolMaker<OpeningRequest> = (request): Outcome<Tool> => {
  const planned = planOpeningGauge(request);
  return planned.value ? { value: toolOf(planned.value), problems: [] } : { problems: planned.problems };
};

function revisionFor(plan: OpeningGaugePlan): string {
  const { request, opening, bed, datum } = plan;
  const { shop } = request;
  const { section } = opening.run;
  // Seventy-two places of the edge from its axis, in the gauge's own directions.
  const places = Array.from({ length: 72 }, (_, i) => {
    const { x, y } = opening.outside[Math.floor((i * opening.outside.length) / 72)]!;
    return [x, y];
  }).flat();
  const bends = bed.member.centerline.segments.flatMap((segment) =>
    segment.kind === 'bend' && segment.s0 < plan.to && segment.s0 + segment.length > plan.from ? [segment.clr] : [],
  );
  return markOf(
    ['opening-gauge', section.kind, datum.kind],
    [
      shop.fit.slide,
      shop.wall,
      shop.strap.width,
      shop.strap.thickness,
      shop.chordTolerance,
      datum.distance,
      plan.to - plan.from,
      plan.wallTop,
      plan.sideReach,
      lineDeg(plan),
      ...sizesOf(section),
      ...taperNumbers(opening.run),
      ...bends,
      ...places,
    ],
  );
}

function toolOf(plan: OpeningGaugePlan): Tool {
  const { request, opening, piece, bed, datum, stopAt } = plan;
  const { run, center, along, around } = opening;
  const { units } = request.solution.job;
  const revision = revisionFor(plan);
  const deg = lineDeg(plan);
  const where = lengthText(center.s - piece.from, units);
  const { solid, pose } = gaugeSolid(plan, [
    [[`> end ${revision}`], [`> ${revision}`]],
    [[opening.name], ...wrapped(opening.name)],
    [[run.name], ...wrapped(run.name)],
    [[`at ${where}`], ['at', where]],
    [[`line ${angleText(deg)}`], ['line', angleText(deg)]],
  ]);
  const heading = frameAt(run.centerline, datum.s).heading;
  return {
    name: request.name,
    kind: 'opening-gauge',
    title: `Opening gauge for ${opening.name} in ${run.name}`,
    for: `${opening.name} in ${run.name}`,
    path: request.path,
    revision,
    datum,
    parts: [
      {
        name: request.name,
        solid,
        pose,
        tubes: [
          {
            member: run,
            from: stopAt === 'start' ? datum.s : plan.from - 10,
            to: stopAt === 'end' ? datum.s : plan.to + 10,
            insertion: { kind: 'lift', out: bed.at.z },
            clearance: slidingFit(request.shop, run),
          },
        ],
        leastWall: LEAST_WALL,
        features: [
          { kind: 'window', edge: plan.solvedEdge, out: scale(bed.at.z, -1) },
          ...(stopAt
            ? [
                {
                  kind: 'datum',
                  plane: {
                    point: frameAt(run.centerline, datum.s).origin,
                    normal: scale(heading, stopAt === 'start' ? 1 : -1),
                  },
                  s: datum.s,
                  by: 'stop',
                } as const,
              ]
            : []),
        ],
      },
    ],
    facts: [
      { label: 'axis of the hole, from the long point at the start', value: center.s - piece.from, unit: 'mm' },
      { label: 'from the long point at the end', value: piece.to - center.s, unit: 'mm' },
      { label: 'line along the tube, from the witness line', value: deg, unit: 'deg' },
      { label: 'hole, along the tube', value: along[1] - along[0], unit: 'mm' },
      { label: 'hole, round the outside', value: around[1] - around[0], unit: 'mm' },
      {
        label: 'made by',
        value: opening.edge === 'bore' ? `bore of ${opening.cutter.name}` : `outside of ${opening.cutter.name}`,
      },
    ],
    use: [
      `Scribe a line along the tube ${angleText(deg)} round from the witness line, clockwise looking from start to end.`,
      stopAt
        ? `Drop the gauge on with its stop against the ${stopAt} of the tube and the line at the mark in its open end face.`
        : `Scribe a line round the tube ${where} from the long point at its start. Drop the gauge on: the marks in its end faces on the line along, the marks down its sides on the line round; the arrow points to the end of the tube.`,
      'Strap it round the tube in both grooves.',
      'Follow the walls of the window straight in with a scriber; they stand on the edge of the hole. Take the print off before any hot cutting, and keep inside the scribed line.',
    ],
  };
}
