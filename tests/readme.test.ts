import { existsSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { describe, expect, test } from 'vitest';
import { starterJob } from '../src/job/starter.ts';
import { made } from './support/tools.ts';

const ROOT = fileURLToPath(new URL('..', import.meta.url));
const readme = readFileSync(`${ROOT}README.md`, 'utf8');
const blocks = (language: string): readonly string[] =>
  [...readme.matchAll(new RegExp(`\`\`\`${language}\\n([\\s\\S]*?)\`\`\``, 'g'))].map((match) => match[1]!);

describe('the README holds what it says', () => {
  test('its job file makes tools', () => {
    const [job] = blocks('yaml');
    const { tools } = made(job!);
    expect(tools.map((tool) => tool.kind).sort()).toEqual(['notch-collar', 'saw-guide']);
  });

  test('the starter job makes tools as it stands', () => {
    expect(made(starterJob()).tools.length).toBeGreaterThan(2);
  });

  test('its pictures, examples and scripts exist', () => {
    const paths = [...readme.matchAll(/\]\(([^)#:]+)\)|(fixtures-examples\/[\w-]+\/job\.yaml)/g)].map(
      (match) => match[1] ?? match[2]!,
    );
    expect(paths.length).toBeGreaterThan(8);
    expect(paths.filter((path) => !existsSync(`${ROOT}${path}`))).toEqual([]);
    const { scripts } = JSON.parse(readFileSync(`${ROOT}package.json`, 'utf8'));
    const named = [...readme.matchAll(/npm run (\S+?)[`\s.]/g)].map((match) => match[1]!);
    expect(named.filter((name) => !(name in scripts))).toEqual([]);
  });

  test('CI runs exactly its test command', () => {
    const command = blocks('')
      .map((block) => block.trim())
      .find((block) => block.includes('verify'));
    expect(command).toBeDefined();
    expect(readFileSync(`${ROOT}.ci/run`, 'utf8').split('\n')).toContain(command);
  });
});
