/** By name. */
export type Attributes = ReadonlyMap<string, string>;

/** One start, end or text of a document, in order. */
export type XmlEvent =
  | { readonly kind: 'start'; readonly name: string; readonly attributes: Attributes }
  | { readonly kind: 'end'; readonly name: string }
  | { readonly kind: 'text'; readonly text: string };

const ESCAPES: Readonly<Record<string, string>> = { '&': '&amp;', '<': '&lt;', '>': '&gt;', '"': '&quot;' };

/**
 * Text fit to stand between tags or in a quoted attribute. Errors: control characters (line ends and tabs too, which
 * readers change in attributes), lone surrogates and the two non-characters cannot stand in XML and throw.
 */
export function xmlText(text: string): string {
  // biome-ignore lint/suspicious/noControlCharactersInRegex: control characters are what is looked for
  const bad = /[\u0000-\u001f\u007f-\u009f\ufffe\uffff]|\p{Surrogate}/u.exec(text);
  if (bad) throw new Error(`internal: character U+${bad[0].charCodeAt(0).toString(16)} cannot be written in a name`);
  return text.replaceAll(/[&<>"]/gu, (c) => ESCAPES[c] ?? c);
}

const TAG = /<(\/?)([A-Za-z_][\w:.-]*)((?:\s+[A-Za-z_][\w:.-]*="[^"<]*")*)\s*(\/?)>/y;
const DECLARATION = /<\?xml version="1\.0" encoding="UTF-8"\?>\s*/y;

/**
 * Reads the plain XML that this program writes: elements, quoted attributes, text and the four escapes xmlText makes. Errors: anything
 * else (comments, document types, processing instructions, stray brackets, tags that do not pair) throws.
 */
export function* readXml(xml: string): Generator<XmlEvent> {
  DECLARATION.lastIndex = 0;
  let at = DECLARATION.test(xml) ? DECLARATION.lastIndex : 0;
  const open: string[] = [];
  while (at < xml.length) {
    const next = xml.indexOf('<', at);
    const text = xml.slice(at, next < 0 ? xml.length : next);
    if (text.trim() !== '') {
      if (open.length === 0) throw new Error('internal: text outside the XML document');
      yield { kind: 'text', text: plainText(text) };
    }
    if (next < 0) break;
    TAG.lastIndex = next;
    const tag = TAG.exec(xml);
    if (!tag) throw new Error(`internal: XML not understood at ${next}: ${xml.slice(next, next + 40)}`);
    at = TAG.lastIndex;
    const [, slash, name = '', attributes = '', empty] = tag;
    if (slash) {
      if (open.pop() !== name) throw new Error(`internal: XML closes ${name}, which is not open`);
      yield { kind: 'end', name };
      continue;
    }
    yield { kind: 'start', name, attributes: readAttributes(attributes) };
    if (empty) yield { kind: 'end', name };
    else open.push(name);
  }
  if (open.length > 0) throw new Error(`internal: XML ends inside ${open.join('/')}`);
}

/** What TAG let through has the shape ` name="value"`, any number of times. Errors: a name that is there twice throws. */
function readAttributes(source: string): Attributes {
  const found = new Map<string, string>();
  for (let equals = source.indexOf('='), from = 0; equals >= 0; equals = source.indexOf('=', from)) {
    const name = source.slice(from, equals).trim();
    const end = source.indexOf('"', equals + 2);
    if (found.has(name)) throw new Error(`internal: XML attribute ${name} twice`);
    found.set(name, plainText(source.slice(equals + 2, end)));
    from = end + 1;
  }
  return found;
}

const plainText = (text: string): string =>
  !text.includes('&')
    ? text
    : text.replaceAll(/&[^;]{0,10};?/gu, (whole) => {
        const named = Object.entries(ESCAPES).find(([, written]) => written === whole)?.[0];
        if (named === undefined) throw new Error(`internal: XML escape ${whole} not understood`);
        return named;
      });
