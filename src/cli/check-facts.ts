import { heatTable, massRows, massTable, unknownText } from '../export/mass-rows.ts';
import { overallSize } from '../export/overall-size.ts';
import { lengthText, plain, sectionText, type Units } from '../export/sheet-figures.ts';
import { type FlowSection, flowSection } from '../geometry/flow.ts';
import { areaInside, type Section } from '../geometry/section.ts';
import { materialOf } from '../solve/mass.ts';
import type { Solution } from '../solve/solution.ts';
import { columns, wrapped } from './columns.ts';
import { rounded } from './terminal.ts';

/** Sections, flow areas of merges, masses and growth with heat: what `check` says of a solved job besides its layout. */
export function factLines(solution: Solution): readonly string[] {
  const { job, merges } = solution;
  const { units } = job;
  const { totals } = massRows(solution);
  const tables = [
    ...(totals.materials.length === 0 ? [] : [massTable(totals, units)]),
    ...heatTable(solution, { units, size: solution.heat.length === 0 ? [] : overallSize(solution) }),
  ];
  const note = totals.materials.length === 0 ? '' : unknownText(totals);
  return [
    '',
    'sections',
    ...job.sections.flatMap((section) =>
      sectionLines(section.name, { section: section.actual, ...weight(solution, section.name), units }),
    ),
    ...(merges.length === 0 ? [] : ['', 'flow areas']),
    ...merges.flatMap(({ joint, legArea, trunkArea, ratio }) =>
      wrapped(
        `${joint}: bores of the legs ${area(legArea, units)}, of the trunk ${area(trunkArea, units)}, ratio ${plain(ratio, 3)}`,
        2,
      ),
    ),
    ...tables.flatMap(({ title, sides, rows }) => ['', title ?? '', ...columns({ heads: ['', ''], sides, rows })]),
    ...(note === '' ? [] : wrapped(note, 2)),
  ];
}

/** The same for machines. */
export function factsJson(solution: Solution): object {
  const { totals } = massRows(solution);
  return {
    sections: solution.job.sections.map(({ name, actual }) => {
      const { perMeter, material } = weight(solution, name);
      const flow = flowSection(actual);
      return {
        name,
        section: actual,
        material: material ?? null,
        kgPerMeter: perMeter === undefined ? null : rounded(perMeter),
        boreArea: rounded(flow.area),
        hydraulicDiameter: rounded(flow.hydraulicDiameter),
        equivalentDiameter: flow.equivalentDiameter === undefined ? null : rounded(flow.equivalentDiameter),
      };
    }),
    flow: solution.merges.map(({ joint, legArea, trunkArea, ratio }) => ({
      joint,
      legArea: rounded(legArea),
      trunkArea: rounded(trunkArea),
      ratio: rounded(ratio),
    })),
    mass: { total: rounded(totals.total), unknown: totals.unknown },
    heat: solution.heat.map(({ member, growth }) => ({ member, growth: rounded(growth) })),
  };
}

interface Weight {
  /** The material's own name, whatever the job calls it. */
  readonly material?: string;
  readonly perMeter?: number;
}

function weight({ job }: Solution, name: string): Weight {
  const section = job.sections.find((candidate) => candidate.name === name);
  const { density, name: known } = materialOf(section);
  const material = known ?? section?.material;
  const metal = section ? areaInside(section.actual) - areaInside(section.actual, section.actual.wall) : 0;
  return {
    ...(material === undefined ? {} : { material }),
    ...(density === undefined ? {} : { perMeter: (metal * density) / 1000 }),
  };
}

function sectionLines(
  name: string,
  { section, material, perMeter, units }: Weight & { readonly section: Section; readonly units: Units },
): readonly string[] {
  const heavy = perMeter === undefined ? '' : `, ${weightText(perMeter, units)}`;
  return [
    ...wrapped(`${name}: ${sectionText(section, units)}${material === undefined ? '' : `, ${material}`}${heavy}`, 2),
    ...wrapped(flowText(flowSection(section), { section, units }), 4),
  ];
}

function flowText(
  { area: bore, hydraulicDiameter, equivalentDiameter }: FlowSection,
  { section, units }: { readonly section: Section; readonly units: Units },
): string {
  if (section.kind === 'round') return `bore ${area(bore, units)}`;
  const equal = equivalentDiameter === undefined ? '' : `, as round duct ${lengthText(equivalentDiameter, units)}`;
  return `bore ${area(bore, units)}, hydraulic diameter ${lengthText(hydraulicDiameter, units)}${equal}`;
}

const area = (mm2: number, units: Units): string =>
  units === 'mm' ? `${plain(mm2, 1)} mm^2` : `${plain(mm2 / 25.4 ** 2, 3)} in^2`;

/** Kilograms a meter, or pounds a foot. */
const weightText = (perMeter: number, units: Units): string =>
  units === 'mm' ? `${plain(perMeter, 3)} kg/m` : `${plain((perMeter / 0.45359237) * 0.3048, 3)} lb/ft`;
