import { describe, expect, it } from 'vitest';
import { inputHash, type Manifest, manifestText, readManifest, sha256 } from '../../src/export/manifest.ts';
import type { PartProof } from '../../src/proof/facts.ts';

const PROOF: PartProof = {
  widestOverhang: 1 / 3,
  part: 'a',
  triangles: 12,
  vertices: 8,
  closed: true,
  shells: 1,
  volume: 1000,
  volumeDifference: 0,
  fileDifference: 0,
  size: [10, 10, 10],
  bedArea: 100,
  overlap: -0,
  clearance: { least: 0.3, most: 0.31, cover: 1 },
  thinnestWall: 4,
  overhangArea: 0,
  slotWidth: 1.2,
};

const file = (name: string) => ({
  name,
  format: 'stl',
  sha256: sha256(name),
  bytes: 1,
  tool: 'a',
  revision: 'R',
  parts: ['a'],
});

const MANIFEST: Manifest = {
  madeBy: 'kerfwright 1.2.3',
  program: sha256('code'),
  job: 'j',
  input: { sha256: inputHash('text', []), sets: [] },
  settings: { formats: ['stl'], plate: false, only: [] },
  warnings: [
    {
      code: 'joint/open-throat',
      severity: 'warning',
      path: ['joints', 0],
      at: { line: 3, col: 4 },
      message: 'm',
      measured: 1,
    },
  ],
  files: [file('b.stl'), file('B.stl'), file('a.stl')],
  tools: [{ name: 'a', kind: 'saw-guide', title: 't', for: 'leg.end', revision: 'R', proofs: [PROOF] }],
};

describe('a manifest', () => {
  it('reads back as it was written, in its own order', () => {
    const text = manifestText(MANIFEST);
    const back = readManifest(text);
    expect(back?.files.map(({ name }) => name)).toEqual(['B.stl', 'a.stl', 'b.stl']);
    expect(manifestText(back!)).toBe(text);
    expect(text.endsWith('}\n')).toBe(true);
  });

  it('has the same bytes whatever order the keys were made in', () => {
    const turned = Object.fromEntries(Object.entries(PROOF).reverse()) as unknown as PartProof;
    const tools = [{ ...MANIFEST.tools[0]!, proofs: [turned] }];
    expect(manifestText({ ...MANIFEST, files: [...MANIFEST.files].reverse(), tools })).toBe(manifestText(MANIFEST));
  });

  it('carries every number that was measured, to six decimals, and no minus zero', () => {
    const [tool] = JSON.parse(manifestText(MANIFEST)).tools;
    expect(Object.keys(tool.proofs[0]).sort()).toEqual(Object.keys(PROOF).sort());
    expect(tool.proofs[0].widestOverhang).toBe(0.333333);
    expect(manifestText(MANIFEST)).not.toContain('-0');
  });

  it('tells a --set from the same words at the end of the text', () => {
    expect(inputHash('text', ['a=1'])).not.toBe(inputHash('texta=1', []));
    expect(inputHash('text', ['a=1', 'b=2'])).not.toBe(inputHash('text', ['a=1b=2']));
  });

  const text = manifestText(MANIFEST);
  it.each([
    ['no JSON', 'hello'],
    ['a list', '[]'],
    ['another program', '{"name":"app"}'],
    ['a later version', text.replace('"version": 2', '"version": 3')],
    ['a hash that is none', text.replace(sha256('a.stl'), 'abc')],
    [
      'files that are no list',
      text.replace('"files": [', '"files": {"x": [').replace(/\]\s*,\s*"tools"/, ']}, "tools"'),
    ],
    ['a name that is a number', text.replace('"a.stl"', '7')],
    ['a clearance that is no pair', text.replace('"least"', '"leased"')],
    ['a warning of no known code', text.replace('joint/open-throat', 'joint/else')],
    ['a warning without a place', text.replace('"line": 3', '"line": "3"')],
    ['half the text', text.slice(0, text.length / 2)],
  ])('is not taken from %s', (_, other) => {
    expect(other).not.toBe(text);
    expect(readManifest(other)).toBeUndefined();
  });
});
