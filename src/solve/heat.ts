import type { Job } from '../job/job.ts';
import type { Problem } from '../job/problem.ts';
import type { HeatGrowth } from './heat-growth.ts';
import { materialOf, sectionOf } from './mass.ts';
import type { Piece } from './solution.ts';

/** Growth of each piece, and the sections whose material is asked for; nothing where the job names no rise. */
export function heatGrowths(
  job: Job,
  pieces: readonly Piece[],
): { readonly growths: readonly HeatGrowth[]; readonly problems: readonly Problem[] } {
  const { heatRise } = job;
  if (heatRise === undefined) return { growths: [], problems: [] };
  const unknown = new Set<string>();
  const growths = pieces.flatMap(({ member, longLength }): readonly HeatGrowth[] => {
    const section = sectionOf(job, member);
    const { expansion } = materialOf(section);
    if (expansion === undefined) {
      if (section) unknown.add(section.name);
      return [];
    }
    return [{ member: member.name, expansion, growth: longLength * expansion * 1e-6 * heatRise }];
  });
  const problems = [...unknown].map((name): Problem => {
    const material = job.sections.find((section) => section.name === name)?.material;
    return {
      code: 'material/unknown',
      severity: 'warning',
      path: ['sections', name, ...(material === undefined ? [] : ['material'])],
      message:
        material === undefined
          ? `section ${name} names no material: how much it grows with heat cannot be told`
          : `material "${material}" of ${name} is not known: how much it grows with heat cannot be told`,
      hint: 'write a material such as "304", or its expansion in 1e-6 per degree C',
    };
  });
  return { growths, problems };
}
