import PDFDocument from 'pdfkit';
import type { Mm } from '../geometry/vector.ts';
import { LINE_STYLES, type Mark, type Page, type TextMark } from './sheet-paper.ts';

export interface PdfInfo {
  readonly title: string;
  /** Name and version of this program. */
  readonly madeBy: string;
  /** Seconds since 1970, when the caller wants the file dated. */
  readonly sourceDateEpoch?: number;
}

/** PDF user space: 72 points an inch (ISO 32000-1, 8.3.2.3). */
const POINTS = 72 / 25.4;
const MS = 1000;
/** The library writes a date in any case: the one that undated zip files carry, 1980-01-01. */
const UNDATED = 315_532_800;

/** Where a PNG says how its pixels are kept, and what stands there for plain red, green and blue. */
const PNG_COLOR_TYPE = 25;
const PNG_TRUE_COLOR = 2;

type Document = InstanceType<typeof PDFDocument>;

/**
 * PDF pages at true size: the viewer is asked not to scale them in print (ViewerPreferences PrintScaling None, ISO
 * 32000-1, 12.2), fonts are the standard Helvetica, the clock is not read. Same pages, same bytes.
 */
export function pdfBytes(pages: readonly Page[], info: PdfInfo): Uint8Array {
  if (pages.length === 0) throw new Error('internal: a PDF without pages');
  const date = new Date((info.sourceDateEpoch ?? UNDATED) * MS);
  const doc = new PDFDocument({
    autoFirstPage: false,
    displayTitle: true,
    info: { Title: printable(info.title), Creator: info.madeBy, Producer: info.madeBy, CreationDate: date },
  });
  printUnscaled(doc);
  for (const page of pages) {
    doc.addPage({ size: [page.width * POINTS, page.height * POINTS], margin: 0 });
    doc.scale(POINTS);
    for (const mark of page.marks) draw(doc, mark);
  }
  doc.end();
  const chunks: Uint8Array[] = [];
  for (let chunk: unknown = doc.read(); chunk instanceof Uint8Array; chunk = doc.read()) chunks.push(chunk);
  return new Uint8Array(Buffer.concat(chunks));
}

/** The library has no public option for this one entry; a test reads it back from the bytes. */
function printUnscaled(doc: Document): void {
  const root: unknown = Reflect.get(doc, '_root');
  const preferences = dataOf(dataOf(root)?.ViewerPreferences);
  if (!preferences) throw new Error('internal: the PDF has no viewer preferences');
  preferences.PrintScaling = 'None';
}

function dataOf(reference: unknown): Record<string, unknown> | undefined {
  if (typeof reference !== 'object' || reference === null || !('data' in reference)) return undefined;
  const { data } = reference;
  return typeof data === 'object' && data !== null ? (data as Record<string, unknown>) : undefined;
}

function draw(doc: Document, mark: Mark): void {
  switch (mark.kind) {
    case 'line':
      drawLine(doc, mark);
      return;
    case 'fill':
      trace(doc, mark.points);
      doc.fill(grayOf(mark.gray));
      return;
    case 'text':
      drawText(doc, mark);
      return;
    case 'image':
      // Opacity is taken apart by the library behind our back, after the file has been read out of it.
      if (mark.png[PNG_COLOR_TYPE] !== PNG_TRUE_COLOR) throw new Error('internal: a picture with opacity in a PDF');
      doc.image(Buffer.from(mark.png), mark.at[0], mark.at[1], { width: mark.width, height: mark.height });
      return;
    case 'window':
      doc.save();
      doc.rect(mark.box.x, mark.box.y, mark.box.width, mark.box.height).clip();
      for (const inner of mark.marks) draw(doc, inner);
      doc.restore();
  }
}

function drawLine(doc: Document, { points, type }: Extract<Mark, { kind: 'line' }>): void {
  const { width, dashes } = LINE_STYLES[type];
  doc.save();
  trace(doc, points);
  doc.lineWidth(width).lineJoin('round').lineCap('butt');
  if (dashes.length > 0) doc.addContent(`[${dashes.join(' ')}] 0 d`);
  doc.stroke('#000000');
  doc.restore();
}

function trace(doc: Document, points: Extract<Mark, { kind: 'line' }>['points']): void {
  const [first, ...rest] = points;
  if (!first) return;
  doc.moveTo(first[0], first[1]);
  for (const [x, y] of rest) doc.lineTo(x, y);
  const last = rest.at(-1);
  if (last && last[0] === first[0] && last[1] === first[1]) doc.closePath();
}

function drawText(doc: Document, mark: TextMark): void {
  const text = printable(mark.text);
  doc.font(mark.bold ? 'Helvetica-Bold' : 'Helvetica', mark.size).fillColor('#000000');
  const width: Mm = doc.widthOfString(text);
  const back = mark.anchor === 'middle' ? width / 2 : mark.anchor === 'end' ? width : 0;
  doc.save();
  if (mark.turnDeg) doc.rotate(mark.turnDeg, { origin: [mark.at[0], mark.at[1]] });
  doc.text(text, mark.at[0] - back, mark.at[1], { lineBreak: false, baseline: 'alphabetic' });
  doc.restore();
}

const grayOf = (gray: number): string => `#${gray.toString(16).padStart(2, '0').repeat(3)}`;

/** The standard fonts carry Western letters only: any other is shown as a question mark rather than as a wrong letter. */
const printable = (text: string): string => text.replaceAll(/[^\u0020-\u007e\u00a0-\u00ff]/gu, '?');
