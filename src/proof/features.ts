import type { CutEnd } from '../solve/solution.ts';
import type { Feature, ShapedTool } from '../tooling/tool.ts';
import { measureBore } from './bore.ts';
import { measureEdge } from './cut-edge.ts';
import { measureDatum } from './datum-face.ts';
import type { Facets } from './facets.ts';
import type { PartProof } from './facts.ts';
import { measureFace } from './flat-face.ts';
import { measureHeat } from './heat.ts';
import type { Held } from './held.ts';
import { measureKeptSide } from './kept-side.ts';
import type { Fault, Measured } from './problem.ts';
import { measureSkin } from './skin.ts';
import { measureSlot } from './slot.ts';
import { measureWindow } from './window.ts';

/** What is measured of features, for the part's line in the manifest. */
type FeatureFacts = Partial<PartProof>;

interface Measuring<K extends Feature['kind']> {
  readonly feature: Extract<Feature, { readonly kind: K }>;
  readonly tool: ShapedTool;
  readonly held: readonly Held[];
}

/** Every kind of feature with how it is measured: a new kind is a file and a line here. */
const MEASURES: {
  readonly [K in Feature['kind']]: (facets: Facets, measuring: Measuring<K>) => Measured<FeatureFacts>;
} = {
  'cut-edge': (facets, { feature, tool, held }) => {
    const { tube, fit } = firstOf(held, tool);
    const { value, faults } = measureEdge(facets, { feature, end: endOf(tool), tube, fit });
    return { value: { edgeDeviation: value.deviation, edgeCover: value.cover }, faults };
  },
  slot: (facets, { feature, tool }) => {
    const { saw } = tool;
    if (!saw) throw new Error(`internal: ${tool.name} has a slot and no saw`);
    const end = endOf(tool);
    const slot = measureSlot(facets, { feature, end, saw });
    const kept = measureKeptSide(facets, { feature, end });
    return {
      value: { slotDeviation: slot.value.deviation, slotWidth: slot.value.width, keptSideOverlap: kept.value },
      faults: [...slot.faults, ...kept.faults],
    };
  },
  datum: (facets, { feature, tool, held }) => {
    const of = feature.tube === undefined ? held : held.filter(({ name }) => name === feature.tube);
    const { value, faults } = measureDatum(facets, { feature, tube: firstOf(of, tool).tube });
    return { value: { datumDeviation: value }, faults };
  },
  face: (facets, { feature }) => {
    const { value, faults } = measureFace(facets, feature);
    return { value: { faceDeviation: value }, faults };
  },
  window: (facets, { feature, tool, held }) => {
    const { value, faults } = measureWindow(facets, { feature, held: firstOf(held, tool) });
    return { value: { edgeDeviation: value.deviation, edgeCover: value.cover }, faults };
  },
  bore: (facets, { feature }) => {
    const { value, faults } = measureBore(facets, feature);
    return { value: { boreDeviation: value }, faults };
  },
  skin: (facets, { feature }) => {
    const { value, faults } = measureSkin(facets, feature);
    return { value: { skinDeviation: value.deviation, skinCover: value.cover }, faults };
  },
  heat: (facets, { feature }) => {
    const { value, faults } = measureHeat(facets, feature);
    return { value: { seamDistance: value }, faults };
  },
};

/** Every feature of a part; of two of a kind the worse number counts. */
export function measureFeatures(
  facets: Facets,
  {
    features,
    ...rest
  }: { readonly features: readonly Feature[]; readonly tool: ShapedTool; readonly held: readonly Held[] },
): Measured<FeatureFacts> {
  const measured = features.map((feature) => measureOne(facets, { feature, ...rest }));
  return {
    value: measured.reduce((all, { value }) => worse(all, value), {} as FeatureFacts),
    faults: measured.flatMap(({ faults }): readonly Fault[] => faults),
  };
}

function measureOne<K extends Feature['kind']>(facets: Facets, measuring: Measuring<K>): Measured<FeatureFacts> {
  const measure: (facets: Facets, measuring: Measuring<K>) => Measured<FeatureFacts> =
    MEASURES[measuring.feature.kind as K];
  return measure(facets, measuring);
}

/** Deviations and overlaps: the larger; covers and what is kept clear: the smaller. */
export const worse = (p: FeatureFacts, q: FeatureFacts): FeatureFacts => {
  const merged: Record<string, unknown> = { ...p, ...q };
  for (const [key, value] of Object.entries(q)) {
    const other = p[key as keyof FeatureFacts];
    if (typeof value !== 'number' || typeof other !== 'number') continue;
    merged[key] = key.endsWith('Cover') || key === 'seamDistance' ? Math.min(value, other) : Math.max(value, other);
  }
  return merged;
};

function endOf(tool: ShapedTool): CutEnd {
  if (!tool.end) throw new Error(`internal: ${tool.name} has the feature of a cut and no cut`);
  return tool.end;
}

function firstOf([first]: readonly Held[], tool: ShapedTool): Held {
  if (!first) throw new Error(`internal: ${tool.name} has a feature on a tube and holds none`);
  return first;
}
