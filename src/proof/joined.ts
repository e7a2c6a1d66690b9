import { compose, IDENTITY, inverse, type Placement, place, placementFrom, unplace } from '../geometry/placement.ts';
import { KEY_HOLDS, KEY_PLAY, OVERLAP_VOLUME } from '../geometry/tolerance.ts';
import { along, anySquareTo, cross, type Mm, scale, type Vec2, type Vec3 } from '../geometry/vector.ts';
import type { Shop } from '../job/job.ts';
import { figure } from '../job/problem.ts';
import { intersectionVolume } from '../solid/evaluate.ts';
import type { Solid } from '../solid/expression.ts';
import type { Kernel } from '../solid/kernel.ts';
import type { Mesh } from '../solid/mesh.ts';
import { meshBounds } from '../solid/mesh-check.ts';
import type { Joined, Keyed, ShapedTool } from '../tooling/tool.ts';
import { facetsOf } from './facets.ts';
import type { JoinedProof } from './facts.ts';
import { measureFeatures, worse } from './features.ts';
import { heldFacts, measureHeld } from './held.ts';
import { type Fault, type Measured, OUR_FAULT } from './problem.ts';

/** A part's mesh as read back, and where it stands. */
export interface StandingPart {
  readonly name: string;
  readonly mesh: Mesh;
  readonly pose: Placement;
}

/** Shifts tried while looking for where two keyed parts touch, after the farthest one. */
const HALVINGS = 2;
/** Heights at which a part on its way down must be free of its neighbor, mm. */
const COMING_DOWN: readonly Mm[] = [1, 4];

/**
 * All parts of a tool at once, each where its pose puts it: none shares room with another, keyed ones hold each other
 * every way but up, and the tubes and features are right over all of them together.
 */
export function measureJoined(
  parts: readonly StandingPart[],
  {
    kernel,
    tool,
    joined,
    shop,
  }: {
    readonly kernel: Kernel;
    readonly tool: ShapedTool;
    readonly joined: Joined;
    readonly shop: Shop;
  },
): Measured<JoinedProof> {
  const partsOverlap = largestOverlap(kernel, parts);
  const keys = joined.keys.map((keyed) => measureKeys(kernel, parts, keyed));
  const whole = asOne(parts);
  const facets = facetsOf(whole.mesh, whole.pose);
  const held = joined.tubes.map((tube) =>
    measureHeld(facets, { kernel, held: tube, chordTolerance: shop.chordTolerance }),
  );
  const features = measureFeatures(facets, {
    features: joined.features,
    tool,
    held: held.map(({ value }) => value),
  });
  const value: JoinedProof = {
    partsOverlap,
    ...(keys.length > 0 ? { keyPlay: Math.max(...keys.map((key) => key.value)) } : {}),
    ...heldFacts(held.map((one) => one.value)),
    ...features.value,
  };
  const faults: readonly Fault[] = [
    ...overlapFaults(partsOverlap),
    ...[...keys, ...held, features].flatMap((measured) => measured.faults),
  ];
  return { value, faults };
}

const overlapFaults = (measured: number): readonly Fault[] =>
  measured <= OVERLAP_VOLUME
    ? []
    : [
        {
          code: 'proof/joined',
          message: `two of its parts share ${figure(measured)} mm^3 where they stand, limit ${OVERLAP_VOLUME} mm^3`,
          hint: OUR_FAULT,
          measured,
          limit: OVERLAP_VOLUME,
        },
      ];

const bodyOf = ({ mesh }: StandingPart): Solid => ({ kind: 'mesh', name: 'part', mesh });

/** Volume two parts share when the second is moved by a step from where it stands. */
function shared(kernel: Kernel, first: StandingPart, { second, step }: { second: StandingPart; step: Vec3 }): number {
  const standing: Placement = compose({ ...IDENTITY, origin: step }, second.pose);
  const at = compose(inverse(first.pose), standing);
  return intersectionVolume(kernel, bodyOf(first), { kind: 'place', name: 'neighbor', of: bodyOf(second), at });
}

function largestOverlap(kernel: Kernel, parts: readonly StandingPart[]): number {
  const pairs = parts.flatMap((first, i) => parts.slice(i + 1).map((second) => [first, second] as const));
  return Math.max(
    0,
    ...pairs
      .filter(([first, second]) => near(first, second))
      .map(([first, second]) => shared(kernel, first, { second, step: [0, 0, 0] })),
  );
}

/** Whether boxes round two parts meet, seen in the first's print pose. */
function near(first: StandingPart, second: StandingPart): boolean {
  const box = meshBounds(first.mesh);
  const other = meshBounds(second.mesh);
  const corners = [other.min[0], other.max[0]].flatMap((x) =>
    [other.min[1], other.max[1]].flatMap((y) =>
      [other.min[2], other.max[2]].map((z) => unplace(first.pose, place(second.pose, [x, y, z]))),
    ),
  );
  return ([0, 1, 2] as const).every(
    (k) => corners.some((p) => p[k] >= box.min[k]) && corners.some((p) => p[k] <= box.max[k]),
  );
}

/** Of two bodies in pieces what is worse of either. */
export const worseJoined = (p: JoinedProof, q: JoinedProof): JoinedProof => ({
  ...worse(p, q),
  partsOverlap: Math.max(p.partsOverlap, q.partsOverlap),
  ...(p.keyPlay === undefined && q.keyPlay === undefined ? {} : { keyPlay: Math.max(p.keyPlay ?? 0, q.keyPlay ?? 0) }),
});

/** How far two keyed parts move against each other before they touch, the farthest of all ways but up. */
function measureKeys(kernel: Kernel, parts: readonly StandingPart[], keyed: Keyed): Measured<Mm> {
  const { parts: names, across, up, dowels } = keyed;
  const [first, second] = names.map((name) => parts.find((part) => part.name === name));
  if (!first || !second) throw new Error(`internal: no part ${names.join(' or ')} to be keyed`);
  if (dowels) return measureDowels(kernel, { first, second, across, dowels });
  const touches = (way: Vec3, by: Mm): boolean =>
    shared(kernel, first, { second, step: scale(way, by) }) > OVERLAP_VOLUME;
  const aside = cross(up, across);
  const plays = [across, scale(across, -1), aside, scale(aside, -1)].map((way) => {
    if (!touches(way, KEY_HOLDS)) return Number.POSITIVE_INFINITY;
    let [free, met] = [0, KEY_HOLDS];
    for (let i = 0; i < HALVINGS; i++) {
      const middle = (free + met) / 2;
      if (touches(way, middle)) met = middle;
      else free = middle;
    }
    return met;
  });
  const play = Math.max(...plays);
  const faults: Fault[] = [];
  const where = names.join(' and ');
  if (!(play <= KEY_HOLDS)) {
    const message = `the keys of ${where} do not hold: they move apart by more than ${KEY_HOLDS} mm`;
    faults.push({ code: 'proof/joined', message, hint: OUR_FAULT, measured: play, limit: KEY_HOLDS });
  }
  if (COMING_DOWN.some((height) => touches(up, height))) {
    const message = `${names[1]} does not come down on ${names[0]}: its keys are in the way`;
    faults.push({ code: 'proof/joined', message, hint: OUR_FAULT });
  }
  return { value: play, faults };
}

/** Facets of a pin, inside the circle; and how far it goes short of the end of its holes. */
const PIN_FACETS = 16;
const PIN_END: Mm = 0.3;

/**
 * The play of dowels: pins a little thinner than the holes go through both parts at once without touching either, and pins
 * thicker by what keys may play touch both.
 */
function measureDowels(
  kernel: Kernel,
  of: {
    readonly first: StandingPart;
    readonly second: StandingPart;
    readonly across: Vec3;
    readonly dowels: NonNullable<Keyed['dowels']>;
  },
): Measured<Mm> {
  const { first, second, across, dowels } = of;
  const faults: Fault[] = [];
  const where = `${first.name} and ${second.name}`;
  const shares = (part: StandingPart, at: Vec3, radius: Mm): number =>
    intersectionVolume(kernel, bodyOf(part), {
      kind: 'place',
      name: 'pin',
      of: pinOf({ at, across, radius, long: dowels.deep - PIN_END }),
      at: inverse(part.pose),
    });
  for (const at of dowels.at) {
    if ([first, second].some((part) => shares(part, at, dowels.radius - KEY_PLAY / 2) > OVERLAP_VOLUME)) {
      const message = `a dowel does not go through both ${where}`;
      faults.push({ code: 'proof/joined', message, hint: OUR_FAULT });
    }
    if ([first, second].some((part) => shares(part, at, dowels.radius + KEY_PLAY) <= OVERLAP_VOLUME)) {
      const message = `a dowel does not hold ${where}: its hole is wider than ${figure(2 * dowels.radius)} mm`;
      faults.push({ code: 'proof/joined', message, hint: OUR_FAULT });
    }
  }
  return { value: KEY_PLAY, faults };
}

function pinOf(pin: { readonly at: Vec3; readonly across: Vec3; readonly radius: Mm; readonly long: Mm }): Solid {
  const loop = Array.from({ length: PIN_FACETS }, (_, i): Vec2 => {
    const turn = (2 * Math.PI * i) / PIN_FACETS;
    return [pin.radius * Math.cos(turn), pin.radius * Math.sin(turn)];
  });
  const from = along(pin.at, pin.across, -pin.long);
  const at = placementFrom(from, pin.across, anySquareTo(pin.across));
  return { kind: 'prism', name: 'pin', loops: [loop], height: 2 * pin.long, at };
}

/** One mesh of all parts, in the print pose of the first. */
function asOne(parts: readonly StandingPart[]): Pick<StandingPart, 'mesh' | 'pose'> {
  const [first] = parts;
  if (!first) throw new Error('internal: a tool without parts');
  const positions: number[] = [];
  const triangles: number[] = [];
  for (const { mesh, pose } of parts) {
    const before = positions.length / 3;
    for (let i = 0; i < mesh.positions.length; i += 3) {
      const p = place(pose, [mesh.positions[i]!, mesh.positions[i + 1]!, mesh.positions[i + 2]!]);
      positions.push(...unplace(first.pose, p));
    }
    for (const corner of mesh.triangles) triangles.push(before + corner);
  }
  return {
    mesh: { positions: Float64Array.from(positions), triangles: Uint32Array.from(triangles) },
    pose: first.pose,
  };
}
