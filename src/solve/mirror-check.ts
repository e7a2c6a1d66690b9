import { MIRROR_APART } from '../geometry/tolerance.ts';
import type { Mm } from '../geometry/vector.ts';
import type { Job } from '../job/job.ts';
import type { Problem } from '../job/problem.ts';
import { lengthText } from '../job/wording.ts';
import { curveS } from './pieces.ts';
import type { CutEnd, EndName, Piece } from './solution.ts';

/** Places looked at round the tube: every 5 degrees of a round one. */
const AROUND = 72;

/**
 * Members drawn as mirror images whose pieces are not: an end cut on one and not on the other, or cut elsewhere. A cut of
 * the image at u is compared with that of the original at 1 - u, which is the same place in the mirror.
 */
export function mirrorProblems({ units }: Job, pieces: readonly Piece[]): readonly Problem[] {
  return pieces.flatMap((image) => {
    const original = pieces.find(({ member }) => member.name === image.member.mirrorOf);
    if (!original) return [];
    return (['start', 'end'] as const).flatMap((end): readonly Problem[] => {
      const off = difference(image, original, end);
      if (Math.abs(off.by) <= MIRROR_APART) return [];
      const [name, of] = [`${image.member.name}.${end}`, `${original.member.name}.${end}`];
      const how = off.alone
        ? `one of ${name} and ${of} is cut, by ${off.alone}, and the other is not`
        : `${name} and ${of} are cut differently`;
      return [
        {
          code: 'layout/mirror-differs',
          severity: 'warning',
          path: image.member.spec.path,
          message: `${image.member.name} is drawn as the mirror image of ${original.member.name}, but ${how}: at ${Math.round(360 * off.u)} deg round from the witness line ${name} is ${lengthText(Math.abs(off.by), units)} ${off.by > 0 ? 'longer' : 'shorter'}`,
          hint: 'give both the same joint, mirrored too (runs, planes, gaps, trims); two different parts need no mirror',
          measured: Math.abs(off.by),
          limit: MIRROR_APART,
        },
      ];
    });
  });
}

interface Difference {
  /** How much longer the image is, at u of the image. */
  readonly by: Mm;
  readonly u: number;
  /** The joint that cuts this end of only one of the two. */
  readonly alone?: string;
}

function difference(image: Piece, original: Piece, end: EndName): Difference {
  const [mine, theirs] = [image, original].map((piece) => (end === 'start' ? piece.startEnd : piece.finishEnd));
  const plain = end === 'start' ? 0 : image.member.centerline.length;
  const at = (cut: CutEnd | undefined, u: number, surface: 'outer' | 'inner'): Mm =>
    cut ? curveS(cut.curves[surface], u % 1) : plain;
  let worst: Difference = { by: 0, u: 0 };
  for (let i = 0; i < AROUND; i++) {
    const u = i / AROUND;
    for (const surface of ['outer', 'inner'] as const) {
      const by = (at(mine, u, surface) - at(theirs, 1 - u, surface)) * (end === 'start' ? -1 : 1);
      if (Math.abs(by) > Math.abs(worst.by)) worst = { by, u };
    }
  }
  const alone = mine && theirs ? undefined : (mine ?? theirs)?.joint;
  return alone === undefined ? worst : { ...worst, alone };
}
