import type { Mm } from '../../geometry/vector.ts';

/** An end of a piece in its stick. */
export interface StickEnd {
  /** Ends of one mating word may share a cut: one pass of the saw makes both. Empty where an end is cut by itself. */
  readonly mate: string;
  /** How far the long point reaches past the short point, which is what a shared cut saves. */
  readonly reach: Mm;
}

/** A piece with two ends, by its number. */
export interface StickPiece {
  readonly no: number;
  readonly ends: readonly [StickEnd, StickEnd];
}

/** A piece as it lies in the stick. */
export interface Laid {
  readonly no: number;
  /** Its second end comes first. */
  readonly turned: boolean;
  /** Its first cut is the last one of the piece before it. */
  readonly shares: boolean;
}

/**
 * Most length that pieces can save by shared cuts in one stick. Mating words are the knots of a net whose threads are the
 * pieces: at a knot of n ends n/2 pairs can share, and all pieces hang together in as few runs as there are odd knots
 * over two (Euler); a net without odd knots is one ring, which a stick breaks once, where that costs least.
 */
export function savedBy(pieces: readonly StickPiece[]): Mm {
  const knots = knotsOf(pieces);
  return netsOf(pieces).reduce((sum, net) => {
    const own = [...net].map((mate) => knots.get(mate)!);
    const saved = own.reduce((s, { ends, reach }) => s + Math.floor(ends / 2) * reach, 0);
    const ring = own.every(({ ends }) => ends % 2 === 0) && !loose(pieces, net);
    return sum + saved - (ring ? Math.min(...own.map(({ reach }) => reach)) : 0);
  }, 0);
}

interface Knot {
  readonly ends: number;
  readonly reach: Mm;
}

function knotsOf(pieces: readonly StickPiece[]): ReadonlyMap<string, Knot> {
  const knots = new Map<string, Knot>();
  for (const { ends } of pieces) {
    for (const { mate, reach } of ends) {
      if (mate !== '') knots.set(mate, { ends: (knots.get(mate)?.ends ?? 0) + 1, reach });
    }
  }
  return knots;
}

/** A piece with one end that shares and one that does not lets a run begin or end there. */
const loose = (pieces: readonly StickPiece[], net: ReadonlySet<string>): boolean =>
  pieces.some(({ ends: [p, q] }) => (net.has(p.mate) && q.mate === '') || (net.has(q.mate) && p.mate === ''));

/** Mating words that hang together by pieces. */
function netsOf(pieces: readonly StickPiece[]): readonly ReadonlySet<string>[] {
  let nets: Set<string>[] = [];
  for (const { ends } of pieces) {
    const mates = ends.map(({ mate }) => mate).filter((mate) => mate !== '');
    if (mates.length === 0) continue;
    const joined = new Set(mates);
    const rest: Set<string>[] = [];
    for (const net of nets) {
      if (mates.some((mate) => net.has(mate))) for (const mate of net) joined.add(mate);
      else rest.push(net);
    }
    nets = [...rest, joined];
  }
  return nets;
}

/** An order of the pieces, and which way round each lies, that saves as much as `savedBy` says. */
export function layPieces(pieces: readonly StickPiece[]): readonly Laid[] {
  const open = new Set(pieces);
  const runs: Step[][] = [];
  while (open.size > 0) runs.push(walk(startOf([...open]), open));
  return spliced(runs).flatMap((run) => run.map(({ piece, turned }, i) => ({ no: piece.no, turned, shares: i > 0 })));
}

interface Step {
  readonly piece: StickPiece;
  readonly turned: boolean;
}

const firstMate = ({ piece, turned }: Step): string => piece.ends[turned ? 1 : 0].mate;
const lastMate = ({ piece, turned }: Step): string => piece.ends[turned ? 0 : 1].mate;

/** Where a run begins best: at an end that shares with none, else at an odd knot, else where a ring costs least to break. */
function startOf(open: readonly StickPiece[]): Step {
  const knots = knotsOf(open);
  const cost = ({ mate }: StickEnd): number => {
    const knot = knots.get(mate);
    if (!knot) return -2;
    return knot.ends % 2 === 1 ? -1 : knot.reach;
  };
  let best: { readonly step: Step; readonly cost: number } | undefined;
  for (const piece of open) {
    for (const turned of [false, true]) {
      const own = cost(piece.ends[turned ? 1 : 0]);
      if (!best || own < best.cost) best = { step: { piece, turned }, cost: own };
    }
  }
  if (!best) throw new Error('internal: no piece to begin a stick with');
  return best.step;
}

/** From piece to piece as long as the next one shares the cut; takes them from what is open. */
function walk(start: Step, open: Set<StickPiece>): Step[] {
  const run: Step[] = [];
  for (let step: Step | undefined = start; step; step = nextOf(open, lastMate(step))) {
    open.delete(step.piece);
    run.push(step);
  }
  return run;
}

function nextOf(open: ReadonlySet<StickPiece>, mate: string): Step | undefined {
  if (mate === '') return undefined;
  for (const piece of open) {
    if (piece.ends[0].mate === mate) return { piece, turned: false };
    if (piece.ends[1].mate === mate) return { piece, turned: true };
  }
  return undefined;
}

/** Rings that were left over go into a run that passes one of their knots: no share is lost there. */
function spliced(runs: readonly Step[][]): readonly Step[][] {
  const done = [...runs];
  for (let i = 0; i < done.length; i++) {
    const ring = done[i]!;
    const mate = firstMate(ring[0]!);
    if (mate === '' || mate !== lastMate(ring.at(-1)!)) continue;
    const knots = ring.map(firstMate);
    for (const [k, run] of done.entries()) {
      // The runs begun first begin where that costs least.
      if (k >= i) break;
      const joints = [...run.map(firstMate), lastMate(run.at(-1)!)];
      const at = joints.findIndex((joint) => joint !== '' && knots.includes(joint));
      if (at < 0) continue;
      const turn = knots.indexOf(joints[at]!);
      run.splice(at, 0, ...ring.slice(turn), ...ring.slice(0, turn));
      done.splice(i, 1);
      // What has grown may take rings that found no knot before.
      i = -1;
      break;
    }
  }
  return done;
}
