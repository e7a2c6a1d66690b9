import type { RawBenchTools } from './bench-tool-schema.ts';
import type { BenchToolSpec, FitCouponSpec } from './bench-tools.ts';
import type { JobPath } from './problem.ts';

/** A tool that belongs to no one cut end, field by field; undefined where the item names another kind. */
export function benchToolSpec(raw: RawBenchTools, index: number): BenchToolSpec | undefined {
  const path = (kind: string): JobPath => ['tools', index, kind];
  const coupon = raw['fit-coupon'];
  if (coupon !== undefined) return fitCouponSpec(coupon, path('fit-coupon'));
  return undefined;
}

function fitCouponSpec(raw: NonNullable<RawBenchTools['fit-coupon']>, path: JobPath): FitCouponSpec {
  if (typeof raw === 'string') return { kind: 'fit-coupon', path, section: raw, shape: 'auto' };
  const { section, clearances, shape, name } = raw;
  return {
    kind: 'fit-coupon',
    path,
    section,
    shape,
    ...(clearances === undefined ? {} : { clearances }),
    ...(name === undefined ? {} : { name }),
  };
}

/** Sections a tool names, with where it does. */
export const benchToolSections = (
  tool: BenchToolSpec,
): readonly { readonly section: string; readonly path: JobPath }[] => {
  const at = 'section' in tool ? [{ section: tool.section, path: tool.path }] : [];
  return at;
};
