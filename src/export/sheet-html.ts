import type { JobSheet, SheetBlock, SheetSection, SheetTable } from './sheet-blocks.ts';
import type { ViewScript } from './sheet-view.ts';
import { svgInline } from './template-svg.ts';
import { xmlText } from './xml.ts';

/** Plain type of the reader's own machine, dark on white, 16 px on a phone and 10 pt on paper; no script, no request. */
const STYLE = `
*{box-sizing:border-box}
body{margin:0 auto;padding:12px;max-width:60rem;font:16px/1.4 Helvetica,Arial,sans-serif;color:#000;background:#fff}
h1{font-size:1.9em;margin:.2em 0}
h2{font-size:1.4em;margin:1.4em 0 .4em;border-bottom:2px solid #000}
h3{font-size:1.2em;margin:1.2em 0 .3em}
p{margin:.4em 0}
.wide{overflow-x:auto}
.beside{display:flex;flex-wrap:wrap;gap:0 2em;align-items:flex-start}
.beside>.wide{max-width:100%}
.beside>figure{flex:1 1 16rem}
table{border-collapse:collapse;margin:.4em 0;font-variant-numeric:tabular-nums}
caption{text-align:left;font-weight:bold;padding:.3em 0}
th,td{padding:.2em .6em;border-bottom:1px solid #999;vertical-align:top;text-align:left}
th{border-bottom:2px solid #000}
.r{text-align:right;white-space:nowrap}
li{margin:.2em 0}
figure{margin:.6em 0}
svg{display:block;width:100%;height:auto}
footer{margin-top:2em;font-size:.8em}
.view-frame{position:relative;overflow:hidden;border:1px solid #999;user-select:none;-webkit-user-select:none}
.view-frame canvas{display:block;width:100%;height:min(62vh,34rem,92vw);touch-action:none;cursor:grab}
.view-caption{position:absolute;left:.5em;top:.3em;right:.5em;pointer-events:none;font-weight:bold}
.view-label{position:absolute;transform:translate(-50%,-50%);padding:0 .35em;min-width:1.5em;text-align:center;font:bold 14px/1.5 Helvetica,Arial,sans-serif;background:#fff;border:1px solid #000;border-radius:1em;pointer-events:none}
.view-label.tool{border-radius:2px;font-weight:normal;background:#fff3}
.view-label[hidden]{display:none}
.view-panel button,.view-panel label{display:inline-block;margin:.2em .4em .2em 0;padding:.4em .6em;font:inherit}
.view-panel button{background:#fff;border:1px solid #555;border-radius:3px}
.view-panel ul{list-style:none;padding:0;display:grid;grid-template-columns:repeat(auto-fill,minmax(18rem,1fr));gap:0 1.5em}
.view-panel li{display:flex;justify-content:space-between;align-items:center;border-bottom:1px solid #ccc}
.view-panel li button{white-space:nowrap;margin-right:0}
.view-panel input{width:1.2em;height:1.2em;vertical-align:-.2em}
@media (max-width:40rem){td,th{padding:.2em .35em;font-size:.9em}th.r{white-space:normal}}
@media print{@page{margin:12mm}body{padding:0;max-width:none;font-size:10pt}section{break-inside:avoid}section.new{break-before:page}h1,h2,h3{break-after:avoid}table,figure,li{break-inside:avoid}#view{display:none}.wide{overflow:visible}}
`.trim();

/** CSS pixels in a millimeter of a drawing, so that a narrow one does not fill a wide screen. */
const PX_PER_MM = 4;

/** The view that can be turned: what draws it, and what it draws. */
export interface PageView {
  readonly script: ViewScript;
  readonly data: string;
}

/**
 * The job sheet as one page of HTML that holds all it shows: UTF-8, nothing fetched (its own policy forbids it), no script
 * but the view's. The view's place stays hidden on paper and where it cannot be drawn; the still picture is there anyway.
 */
export function jobSheetHtml(sheet: JobSheet, view?: PageView): string {
  const [head, ...rest] = sheet.sections.map(sectionLines);
  return [
    '<!doctype html>',
    '<html lang="en">',
    '<head>',
    '<meta charset="utf-8">',
    `<meta http-equiv="Content-Security-Policy" content="default-src 'none'; img-src data:; style-src 'unsafe-inline'${view ? `; script-src 'sha256-${view.script.sha256}'` : ''}">`,
    '<meta name="viewport" content="width=device-width, initial-scale=1">',
    `<title>${plainHtml(sheet.title)}</title>`,
    `<style>${STYLE}</style>`,
    '</head>',
    '<body>',
    ...(head ?? []),
    ...(view ? ['<section id="view" hidden>', '<h2>Assembly and tools, to turn</h2>', '</section>'] : []),
    ...rest.flat(),
    `<footer>${plainHtml(sheet.footer)}</footer>`,
    ...(view
      ? [`<script type="application/json" id="view-data">${view.data}</script>`, `<script>${view.script.text}</script>`]
      : []),
    '</body>',
    '</html>',
    '',
  ].join('\n');
}

const sectionLines = ({ heading, level, blocks, newSheet }: SheetSection): readonly string[] => [
  newSheet ? '<section class="new">' : '<section>',
  `<h${level}>${plainHtml(heading)}</h${level}>`,
  ...blocks.flatMap(blockLines),
  '</section>',
];

function blockLines(block: SheetBlock): readonly string[] {
  switch (block.kind) {
    case 'text':
      return [`<p>${plainHtml(block.text)}</p>`];
    case 'list': {
      const tag = block.numbered ? 'ol' : 'ul';
      return [`<${tag}>`, ...block.items.map((item) => `<li>${plainHtml(item)}</li>`), `</${tag}>`];
    }
    case 'table':
      return tableLines(block);
    case 'beside':
      return ['<div class="beside">', ...block.blocks.flatMap(blockLines), '</div>'];
    case 'drawing': {
      const { width, height, marks, description } = block;
      return [
        `<figure style="max-width:${Math.round(width * PX_PER_MM)}px">`,
        svgInline({ width, height, marks }, description),
        '</figure>',
      ];
    }
  }
}

function tableLines({ title, heads, sides, rows }: SheetTable): readonly string[] {
  const side = (i: number): string => (sides[i] === 'right' ? ' class="r"' : '');
  return [
    '<div class="wide">',
    '<table>',
    ...(title === undefined ? [] : [`<caption>${plainHtml(title)}</caption>`]),
    ...(heads.length === 0
      ? []
      : [`<thead><tr>${heads.map((head, i) => `<th${side(i)}>${plainHtml(head)}</th>`).join('')}</tr></thead>`]),
    '<tbody>',
    ...rows.map((row) => `<tr>${row.map((cell, i) => `<td${side(i)}>${plainHtml(cell)}</td>`).join('')}</tr>`),
    '</tbody>',
    '</table>',
    '</div>',
  ];
}

/** Free texts of a job may hold line ends and what XML has no place for. */
const plainHtml = (text: string): string =>
  xmlText(text.replaceAll(/\p{Cc}/gu, ' ').replaceAll(/\p{Surrogate}|[\ufffe\uffff]/gu, '\ufffd'));
