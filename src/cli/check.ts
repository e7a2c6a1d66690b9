import { solvingRow } from '../export/cut-table.ts';
import { angleFigure, isSquare, lengthText, sectionText, type Units } from '../export/sheet-figures.ts';
import { boughtText, onHandText } from '../export/stock-rows.ts';
import type { Segment } from '../geometry/centerline.ts';
import type { StockPlan } from '../solve/nesting/nesting.ts';
import type { Member, Solution, Solving } from '../solve/solution.ts';
import type { Tool } from '../tooling/tool.ts';
import { factLines, factsJson } from './check-facts.ts';
import { columns, wrapped } from './columns.ts';
import { eachJob, type ReadingOptions } from './each-job.ts';
import type { Io } from './io.ts';
import type { Solved } from './pipeline.ts';
import { countsOf } from './report.ts';
import { type ShopRow, shopRows } from './shop-rows.ts';
import { solvedText, solvingTexts } from './solving-text.ts';
import { counted, type ExitCode, rounded } from './terminal.ts';

/** How far a checked job came: the tools it would be given, when it came that far. */
interface Checked extends Solved {
  readonly tools?: readonly Tool[];
}

/** `kerfwright check`: problems, every setting with its origin, the layout in facts, the tools that would be made. */
export async function checkCommand(io: Io, args: readonly string[], options: ReadingOptions): Promise<ExitCode> {
  const { designTools } = await import('./design.ts');
  return eachJob(io, {
    args,
    options,
    reader: {
      format: 'kerfwright-check',
      further: async (solved): Promise<Checked> => {
        if (!solved.solution) return solved;
        const designed = designTools(solved.solution, solved.source);
        const problems = [...solved.problems, ...designed.problems];
        return { ...solved, problems, ...(designed.value ? { tools: designed.value } : {}) };
      },
      text: (checked, label) => (options.quiet ? '' : checkText(checked, label)),
      json: checkJson,
    },
  });
}

function checkText(checked: Checked, label: string): string {
  const { job, source, solution, tools } = checked;
  if (!job || !source) return '';
  const { units } = job;
  const lines = [
    ...wrapped(
      `${label}: job ${job.name}, ${units === 'mm' ? 'millimeters' : 'inches'}: ${countsOf(checked.problems)}`,
      0,
    ),
    '',
    'shop',
    ...columns({
      heads: ['', '', ''],
      sides: ['left', 'left', 'left'],
      rows: shopRows(job.shop, source).map((row) => [row.field, valueText(row), row.from]),
    }),
    ...(solution ? ['', 'members', ...solution.members.flatMap((member) => memberLines(member, units))] : []),
    ...(solution ? endLines(solution) : []),
    ...(solution ? factLines(solution) : []),
    ...(solution ? keepOutLines(solution) : []),
    ...(solution ? stockLines(solution) : []),
    ...(tools ? toolLines(tools) : []),
  ];
  return `${lines.join('\n')}\n`;
}

/** Shop sizes are small and known in mm the world over; so they are shown, whatever the job's unit. */
const valueText = ({ value, unit }: ShopRow): string => {
  if (typeof value === 'boolean') return value ? 'yes' : 'no';
  const text =
    typeof value === 'object' ? value.map(rounded).join(' x ') : typeof value === 'number' ? rounded(value) : value;
  return unit ? `${text} ${unit}` : String(text);
};

function memberLines(member: Member, units: Units): readonly string[] {
  const facts = memberFacts(member);
  const mirror = member.mirrorOf === undefined ? '' : `, mirror of ${member.mirrorOf}`;
  return [
    `  ${member.name}: ${sectionText(member.section, units)}${mirror}`,
    `    ${counted(facts.straights, 'straight')}, ${counted(facts.bends, 'bend')}${facts.tapers > 0 ? `, ${counted(facts.tapers, 'taper')}` : ''}, centerline ${lengthText(member.centerline.length, units)}`,
    ...member.solved.map((row) => `    solved: ${row.what} ${solvedText(row, units)}`),
    ...(member.solving ? solvingTexts(solvingRow(member.solving), units).flatMap((text) => wrapped(text, 6)) : []),
    ...measuredLines(member, units),
  ];
}

/** Bends that came out otherwise than asked for: the layout follows them. */
const measuredLines = (member: Member, units: Units): readonly string[] =>
  member.centerline.segments
    .filter((segment) => segment.kind === 'bend')
    .flatMap(({ nominal, clr, bendAngleDeg }, i) =>
      nominal
        ? wrapped(
            `bend ${i + 1} as measured: ${angleFigure(bendAngleDeg)} deg for ${angleFigure(nominal.bendAngleDeg)}, clr ${lengthText(clr, units)} for ${lengthText(nominal.clr, units)}`,
            4,
          )
        : [],
    );

const memberFacts = (
  member: Member,
): { readonly bends: number; readonly straights: number; readonly tapers: number } => {
  const many = (kind: Segment['kind']): number => member.centerline.segments.filter((x) => x.kind === kind).length;
  return { bends: many('bend'), straights: many('straight'), tapers: many('taper') };
};

function endLines(solution: Solution): readonly string[] {
  if (solution.ends.length === 0) return [];
  const rows = solution.ends.map((end) => [
    end.id,
    end.jointKind,
    end.flat
      ? isSquare(end.flat.miterDeg)
        ? 'flat, square'
        : `flat, ${angleFigure(end.flat.miterDeg)} deg`
      : 'curved',
    end.bend ? `in bend ${end.bend.index + 1}` : '',
  ]);
  return ['', 'cut ends', ...columns({ heads: ['', '', '', ''], sides: ['left', 'left', 'left', 'left'], rows })];
}

function keepOutLines({ keepOut, job: { units } }: Solution): readonly string[] {
  if (keepOut.length === 0) return [];
  const rows = keepOut.map(({ name, wanted, nearest }) => [
    name,
    `nearest ${nearest.member}`,
    lengthText(nearest.distance, units),
    `wanted ${lengthText(wanted, units)}`,
  ]);
  return ['', 'keep-outs', ...columns({ heads: ['', '', '', ''], sides: ['left', 'left', 'right', 'left'], rows })];
}

function stockLines({ stock, job: { units } }: Solution): readonly string[] {
  if (stock.length === 0) return [];
  const rack = (plan: StockPlan): string => {
    const text = onHandText(plan, units);
    return text === '' ? '' : `, and ${text} from the rack`;
  };
  return ['', 'stock to buy', ...stock.map((plan) => `  ${plan.section}: ${boughtText(plan, units)}${rack(plan)}`)];
}

function toolLines(tools: readonly Tool[]): readonly string[] {
  if (tools.length === 0) return ['', 'tools: none'];
  const rows = tools.map((tool) => [tool.name, tool.kind, tool.for, tool.saw?.name ?? '', tool.revision]);
  return [
    '',
    'tools',
    ...columns({ heads: ['', '', '', '', ''], sides: ['left', 'left', 'left', 'left', 'left'], rows }),
  ];
}

const solvingJson = ({ others, ...solving }: Solving): object => ({
  ...solving,
  others: others.map(({ solved, developedLength }) => ({
    solved: solved.map(({ what, value, unit }) => ({ what, value: rounded(value), unit })),
    developedLength: rounded(developedLength),
  })),
});

function checkJson({ job, source, solution, tools }: Checked): object {
  if (!job || !source) return {};
  return {
    job: job.name,
    units: job.units,
    shop: shopRows(job.shop, source),
    ...(solution
      ? {
          members: solution.members.map((member) => ({
            name: member.name,
            mirrorOf: member.mirrorOf ?? null,
            section: member.section,
            ...memberFacts(member),
            centerline: rounded(member.centerline.length),
            solved: member.solved.map(({ what, value, unit }) => ({ what, value: rounded(value), unit })),
            ...(member.solving ? { solving: solvingJson(member.solving) } : {}),
          })),
          ends: solution.ends.map((end) => ({
            end: end.id,
            joint: end.joint,
            kind: end.jointKind,
            cut: end.flat ? 'flat' : 'curved',
            miterDeg: end.flat ? rounded(end.flat.miterDeg) : null,
            bend: end.bend ? end.bend.index + 1 : null,
          })),
          ...factsJson(solution),
          stock: solution.stock.map(({ section, sticks, bends }) => ({
            section,
            lengths: sticks.map(({ length }) => rounded(length)),
            bends: bends.map(({ bendAngleDeg }) => rounded(bendAngleDeg)),
          })),
          keepOut: solution.keepOut.map(({ name, wanted, nearest }) => ({
            name,
            wanted: rounded(wanted),
            nearest: nearest.member,
            distance: rounded(nearest.distance),
          })),
        }
      : {}),
    ...(tools
      ? {
          tools: tools.map((tool) => ({
            name: tool.name,
            kind: tool.kind,
            for: tool.for,
            saw: tool.saw?.name ?? null,
            revision: tool.revision,
            parts: tool.parts.map((part) => part.name),
          })),
        }
      : {}),
  };
}
