import { Composer, type CST, type Document, Lexer, LineCounter, type ParsedNode, Parser, type YAMLError } from 'yaml';
import { FILE_LIMITS } from './limits.ts';
import { type JobSource, spanAt } from './locate.ts';
import { CORE_TAG, plainData, type Trouble } from './plain-data.ts';
import type { Problem } from './problem.ts';

/** YAML text as plain data (maps without a prototype), and what is wrong with it as YAML. */
export interface YamlReading {
  /** Missing when nothing could be read. */
  readonly data?: unknown;
  readonly source?: JobSource;
  readonly problems: readonly Problem[];
}

/** Reads YAML 1.2, one document, within FILE_LIMITS. */
export function readYaml(text: string): YamlReading {
  if (text.length > FILE_LIMITS.characters) {
    const message = `the file has ${text.length} characters; a job has at most ${FILE_LIMITS.characters}`;
    return {
      problems: [
        {
          code: 'yaml/too-large',
          severity: 'error',
          path: [],
          at: { line: 1, col: 1 },
          message,
          measured: text.length,
          limit: FILE_LIMITS.characters,
        },
      ],
    };
  }
  const lines = new LineCounter();
  const problem = ({ code, message, hint, path, from, to }: Trouble): Problem => ({
    code,
    severity: 'error',
    path: path ?? [],
    at: spanAt({ text, lines }, from, to ?? from + 1),
    message,
    ...(hint === undefined ? {} : { hint }),
  });
  const parsed = parse(text, lines);
  if ('trouble' in parsed) return { problems: [problem(parsed.trouble)] };
  const documents = composed(parsed.tokens, text.length);
  const document = documents[0];
  if (!document) throw new Error('internal: YAML text without a document');
  const troubles = documentTroubles(document, { second: documents[1], lines });
  if (troubles.length > 0) return { problems: troubles.map(problem) };
  const { data, aliases, troubles: found, complete } = plainData(document.contents);
  // Half a file would be told as missing fields.
  if (!complete) return { problems: found.map(problem) };
  const source: JobSource = { text, lines, contents: document.contents, aliases, sets: [], varied: [] };
  return { data, source, problems: found.map(problem) };
}

/** Tokens of the text; stops at the first that shows the file is no job. */
function parse(text: string, lines: LineCounter): { tokens: CST.Token[] } | { trouble: Trouble } {
  const parser = new Parser(lines.addNewLine);
  lines.addNewLine(0);
  const tokens: CST.Token[] = [];
  // Line starts are counted as the text is read, so a character that no YAML may hold is looked for while reading on.
  const bad = unprintable(text);
  let lexemes = 0;
  let errors = 0;
  for (const lexeme of new Lexer().lex(bad ? text.slice(0, bad.from) : text)) {
    for (const token of parser.next(lexeme)) {
      tokens.push(token);
      if (token.type === 'error') errors += 1;
    }
    lexemes += 1;
    if (parser.stack.length > FILE_LIMITS.depth + 2) {
      return {
        trouble: {
          code: 'yaml/too-large',
          message: `maps and lists lie more than ${FILE_LIMITS.depth} deep`,
          hint: 'a job needs seven levels; look for a bracket or indentation too many',
          from: parser.offset,
        },
      };
    }
    if (lexemes > FILE_LIMITS.lexemes) {
      return {
        trouble: {
          code: 'yaml/too-large',
          message: `the file holds more than ${FILE_LIMITS.lexemes} words and marks`,
          hint: 'split it into several jobs',
          from: parser.offset,
        },
      };
    }
    if (errors > FILE_LIMITS.problems) break;
  }
  tokens.push(...parser.end());
  return bad ? { trouble: bad } : { tokens };
}

function unprintable(text: string): Trouble | undefined {
  // YAML 1.2.2, section 5.1: printable characters.
  const found = /[^\t\n\r\x20-\x7e\x85\xa0-\ud7ff\ue000-\ufffd\u{10000}-\u{10ffff}]/u.exec(text);
  if (!found) return undefined;
  const point = found[0].codePointAt(0)!.toString(16).toUpperCase().padStart(4, '0');
  return {
    code: 'yaml/unreadable',
    message: `the character U+${point} cannot stand in a YAML file`,
    hint: 'save the file as plain UTF-8 text',
    from: found.index,
  };
}

type Read = Document.Parsed<ParsedNode>;

/** The first two documents: the second only shows that there is one too many. */
function composed(tokens: CST.Token[], end: number): Read[] {
  const composer = new Composer<ParsedNode, true>({
    version: '1.2',
    uniqueKeys: false,
    merge: false,
    strict: true,
    prettyErrors: false,
    logLevel: 'silent',
  });
  const documents: Read[] = [];
  for (const document of composer.compose(tokens, true, end)) {
    documents.push(document);
    if (documents.length === 2) break;
  }
  return documents;
}

const CURES: ReadonlyMap<string, string> = new Map([
  ['TAB_AS_INDENT', 'indent with spaces'],
  ['BAD_INDENT', 'give fields of one map the same number of spaces before them'],
  ['MISSING_CHAR', 'look for a bracket, quote, comma or colon that is missing here or just above'],
  ['BLOCK_AS_IMPLICIT_KEY', 'put a text that holds ": " in quotes, or start a new line'],
  ['MULTILINE_IMPLICIT_KEY', 'look for a colon missing on this line or the one above'],
  ['UNEXPECTED_TOKEN', 'put text with quotes or brackets in it between quotes'],
  ['BAD_SCALAR_START', 'put the text between quotes'],
  ['BAD_DQ_ESCAPE', 'between double quotes \\ has a meaning; use single quotes'],
  ['BAD_DIRECTIVE', 'take the % line away'],
  ['TAG_RESOLVE_FAILED', 'take the tag away'],
]);

function documentTroubles(
  document: Read,
  { second, lines }: { second: Read | undefined; lines: LineCounter },
): Trouble[] {
  const troubles = [...document.errors, ...document.warnings].map(grammarTrouble);
  // One slip makes several complaints about the same line; the first says it best.
  const seen = new Set<number>();
  const firsts = troubles.filter(({ from }) => {
    const { line } = lines.linePos(from);
    return !seen.has(line) && seen.add(line);
  });
  return [...firsts.slice(0, FILE_LIMITS.problems), ...versionTroubles(document), ...secondTroubles(second)];
}

function grammarTrouble({ code, message, pos }: YAMLError): Trouble {
  const text = code === 'TAB_AS_INDENT' ? 'a tab is used to indent' : message.replaceAll(CORE_TAG, '!!');
  const bracket = message.includes('must be sufficiently indented');
  const hint = bracket ? 'close the bracket, on the same line or further in than the field' : CURES.get(code);
  return {
    code: 'yaml/unreadable',
    message: `not readable as YAML: ${text}`,
    from: pos[0],
    to: pos[1],
    ...(hint === undefined ? {} : { hint }),
  };
}

function versionTroubles(document: Read): Trouble[] {
  const { explicit, version } = document.directives.yaml;
  if (!explicit || version === '1.2') return [];
  const message = `the file says it is YAML ${version}; jobs are YAML 1.2`;
  return [{ code: 'yaml/unreadable', message, hint: 'take the %YAML line away', from: 0 }];
}

function secondTroubles(second: Read | undefined): Trouble[] {
  if (!second) return [];
  const message = 'a second document begins here; a file holds one job';
  const from = second.contents?.range[0] ?? second.range[0];
  return [{ code: 'yaml/unreadable', message, hint: 'put each job in its own file', from }];
}
