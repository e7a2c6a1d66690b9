import type { Mm } from '../geometry/vector.ts';
import type { JoinedProof, PartProof } from '../proof/facts.ts';
import type { Tool, ToolFact } from '../tooling/tool.ts';
import { plasticDensity, plasticMass } from './plastic.ts';
import type { SheetBlock, SheetDrawing, SheetSection, SheetTable } from './sheet-blocks.ts';
import { angleFigure, lengthText, plain, type Units } from './sheet-figures.ts';
import type { SheetPart, SheetTool } from './sheet-source.ts';

const MM_PER_INCH = 25.4;
const PICTURE_WIDTH: Mm = 72;

/** All tools that were made: a list, and a section for each. */
export const toolsPart: SheetPart = ({ solution, options: { tools }, units }) =>
  tools.length === 0
    ? []
    : [
        {
          heading: 'Tools to print',
          level: 2,
          newSheet: true,
          blocks: [
            {
              kind: 'text',
              text: 'Print as they lie, without support. The revision stands on the part: a part with another one is of another cut.',
            },
            {
              kind: 'table',
              heads: ['tool', 'for', 'revision', 'parts', 'plastic'],
              sides: ['left', 'left', 'left', 'right', 'right'],
              rows: tools.map(({ tool, proofs }) => [
                tool.name,
                tool.for,
                tool.revision,
                String(tool.parts.length),
                massText(volumeOf(proofs), solution.job.shop.printer.material),
              ]),
            },
            { kind: 'text', text: plasticText(tools, solution.job.shop.printer.material) },
          ],
        },
        ...tools.map((tool) => toolSection(tool, { units, material: solution.job.shop.printer.material })),
      ];

type Material = Parameters<typeof plasticMass>[1];

const volumeOf = (proofs: readonly PartProof[]): number => proofs.reduce((sum, { volume: part }) => sum + part, 0);

/** Grams, whole ones from ten. */
const massText = (mm3: number, material: Material): string => {
  const grams = plasticMass(mm3, material);
  return `${plain(grams, grams < 10 ? 1 : 0)} g`;
};

const plasticText = (tools: readonly SheetTool[], material: Material): string =>
  `Together ${massText(volumeOf(tools.flatMap(({ proofs }) => proofs)), material)} of ${material} when printed without hollows (100 percent fill), at ${plasticDensity(material)} g/cm^3 as makers commonly state it; sparser fill takes less.`;

/** What to print, what it is for, how it is used, and what was measured on it. */
function toolSection(
  { tool, proofs, joined, picture }: SheetTool,
  { units, material }: { readonly units: Units; readonly material: Material },
): SheetSection {
  const height = picture ? (PICTURE_WIDTH * picture.height) / picture.width : 0;
  const drawing: readonly SheetDrawing[] = picture
    ? [
        {
          kind: 'drawing',
          description: `${tool.title}, ${tool.joined || tool.wholes ? 'its parts as they stand together' : 'as it lies on the printer'}`,
          width: PICTURE_WIDTH,
          height,
          marks: [{ kind: 'image', at: [0, 0], width: PICTURE_WIDTH, height, png: picture.png }],
        },
      ]
    : [];
  const blocks: readonly SheetBlock[] = [
    {
      kind: 'beside',
      blocks: [...drawing, proofTable({ proofs, joined }, { units, material }), factsTable(tool, units)],
    },
    { kind: 'list', items: tool.use, numbered: true },
  ];
  return { heading: `${tool.name}, revision ${tool.revision}`, level: 3, blocks };
}

const factsTable = (tool: Tool, units: Units): SheetTable => ({
  kind: 'table',
  title: tool.title,
  heads: [],
  sides: ['left', 'right'],
  rows: tool.facts.map((fact) => [fact.label, factText(fact, units)]),
});

function factText({ value, unit }: ToolFact, units: Units): string {
  if (typeof value === 'string') return value;
  if (unit === 'mm') return lengthText(value, units);
  return unit === 'deg' ? `${angleFigure(value)} deg` : String(value);
}

/** A hundredth of a millimeter is no fraction of an inch. */
const fine = (mm: Mm, units: Units): string =>
  units === 'mm' ? `${plain(mm, 3)} mm` : `${plain(mm / MM_PER_INCH, 4)} in`;

const volume = (mm3: number, units: Units): string =>
  units === 'mm' ? `${plain(mm3 / 1000, 1)} cm^3` : `${plain(mm3 / MM_PER_INCH ** 3, 2)} in^3`;

/** A column for each printed part, and one for all together; rows that were not measured on any are left out. */
function proofTable(
  { proofs, joined }: { readonly proofs: readonly PartProof[]; readonly joined: JoinedProof | undefined },
  { units, material }: { readonly units: Units; readonly material: Material },
): SheetTable {
  const rows: readonly (readonly [string, (proof: Partial<PartProof>) => string | undefined])[] = [
    ['closed body', ({ closed, shells }) => (closed === undefined ? undefined : closed ? `yes, ${shells}` : 'no')],
    [
      'size on the bed',
      ({ size }) => size?.map((x) => plain(units === 'mm' ? x : x / MM_PER_INCH, units === 'mm' ? 1 : 2)).join(' x '),
    ],
    [
      'plastic, solid',
      ({ volume: solid }) =>
        solid === undefined ? undefined : `${volume(solid, units)}, ${massText(solid, material)}`,
    ],
    [
      'room round the tube, least to most',
      ({ clearance }) => clearance && `${fine(clearance.least, units)} to ${fine(clearance.most, units)}`,
    ],
    [
      'working edge off the cut, most',
      ({ edgeDeviation }) => (edgeDeviation === undefined ? undefined : fine(edgeDeviation, units)),
    ],
    [
      'slot off its place, most',
      ({ slotDeviation }) => (slotDeviation === undefined ? undefined : fine(slotDeviation, units)),
    ],
    ['slot width', ({ slotWidth }) => (slotWidth === undefined ? undefined : fine(slotWidth, units))],
    [
      'datum face off its place, most',
      ({ datumDeviation }) => (datumDeviation === undefined ? undefined : fine(datumDeviation, units)),
    ],
    [
      'flat faces off their planes, most',
      ({ faceDeviation }) => (faceDeviation === undefined ? undefined : fine(faceDeviation, units)),
    ],
    [
      'hole off its axis and radius, most',
      ({ boreDeviation }) => (boreDeviation === undefined ? undefined : fine(boreDeviation, units)),
    ],
    [
      'outside off the tube it stands in for, most',
      ({ skinDeviation }) => (skinDeviation === undefined ? undefined : fine(skinDeviation, units)),
    ],
    [
      'from any seam, least',
      ({ seamDistance }) => (seamDistance === undefined ? undefined : lengthText(seamDistance, units)),
    ],
    ['thinnest wall', ({ thinnestWall }) => (thinnestWall === undefined ? undefined : fine(thinnestWall, units))],
    [
      'overhang past 45 deg',
      ({ overhangArea }) =>
        overhangArea === undefined
          ? undefined
          : units === 'mm'
            ? `${plain(overhangArea, 0)} mm^2`
            : `${plain(overhangArea / MM_PER_INCH ** 2, 2)} in^2`,
    ],
  ];
  const measured: readonly Partial<PartProof>[] = [...proofs, ...(joined ? [joined] : [])];
  return {
    kind: 'table',
    title: 'Measured on the files',
    heads: ['', ...proofs.map(({ part }) => part), ...(joined ? ['together'] : [])],
    sides: ['left', ...measured.map((): 'right' => 'right')],
    rows: rows.flatMap(([name, cell]): readonly (readonly string[])[] => {
      const cells = measured.map(cell);
      return cells.some((text) => text !== undefined) ? [[name, ...cells.map((text) => text ?? '-')]] : [];
    }),
  };
}
