import { describe, expect, it } from 'vitest';
import { loadJob } from '../../src/job/load.ts';

const TEXT = `job: t
sections:
  leg: { kind: round, od: 50, wall: 2 }
members:
  leg:
    section: leg
    start: { at: [0, 0, 0], heading: [0, 0, 1] }
    run:
      - straight: 100
      - straight: 50
  other: { mirror: leg, across: { normal: [1, 0, 0] } }
`;

const load = (...sets: string[]) => loadJob(TEXT, { sets });

describe('--set', () => {
  it('puts a value over the one in the file', () => {
    const { value, problems } = load('members.leg.run.1.straight=120', 'sections.leg.od=2.5in', 'job=rack');
    expect(problems).toEqual([]);
    expect(value?.name).toBe('rack');
    expect(value?.sections[0]?.nominal).toMatchObject({ od: 63.5 });
    expect(value?.members[0]).toMatchObject({ run: [{ length: 100 }, { length: 120 }] });
  });

  it('takes the last of two for one place', () => {
    expect(load('sections.leg.od=40', 'sections.leg.od=45').value?.sections[0]?.nominal).toMatchObject({ od: 45 });
  });

  it('takes lists, and single coordinates', () => {
    expect(load('members.leg.start.at=[1, 2, 3]', 'members.leg.start.at.2=9').value?.members[0]).toMatchObject({
      start: { at: [1, 2, 9] },
    });
  });

  it('adds optional fields, and the shop that the file does not have', () => {
    const { value, problems } = load(
      'units=mm',
      'shop.printer.nozzle=0.6',
      'shop.saws.cold.kind=top-down',
      'sections.leg.measured.od=49.9',
    );
    expect(problems).toEqual([]);
    expect(value?.shop.printer.nozzle).toBe(0.6);
    expect(value?.shop.saws).toMatchObject([{ name: 'cold' }]);
    expect(value?.sections[0]?.actual).toMatchObject({ od: 49.9 });
  });

  it('does not change a second load of the same text', () => {
    load('sections.leg.od=40');
    expect(load().value?.sections[0]?.nominal).toMatchObject({ od: 50 });
  });

  const refused: readonly [string, string, string][] = [
    ['members.legg.run.1.straight=120', 'member', 'did you mean leg?'],
    ['members.leg.rnu.1.straight=120', '"rnu"', 'did you mean run?'],
    ['members.leg.run.2.straight=120', 'items 0 to 1', 'counted from 0'],
    ['members.leg.run.-1.straight=120', 'items 0 to 1', 'counted from 0'],
    ['members.leg.run.first.straight=120', 'items 0 to 1', 'counted from 0'],
    ['sections.leg.odd=50', '"odd"', 'did you mean od?'],
    ['sections.new={ kind: round, od: 50, wall: 2 }', '"new"', 'leg'],
    ['section.leg.od=50', '"section"', 'did you mean sections?'],
    ['job.name=x', 'single value', ''],
    ['sections.leg.od', 'no path=value', ''],
    ['=5', 'no path=value', ''],
    ['sections..od=5', '""', ''],
    ['__proto__.polluted=1', '"__proto__"', ''],
    ['sections.__proto__.polluted=1', '"__proto__"', ''],
    ['shop.__proto__=1', '"__proto__"', ''],
    ['constructor.prototype.polluted=1', '"constructor"', ''],
  ];
  it.each(refused)('%s is refused', (set, says, hint) => {
    const { value, problems } = load(set);
    expect(value).toBeUndefined();
    expect(problems).toMatchObject([{ code: 'set/path' }]);
    expect(problems[0]?.message).toContain(says);
    expect(problems[0]?.hint ?? '').toContain(hint);
    expect(Reflect.get({}, 'polluted')).toBeUndefined();
  });

  it('that gives a bad value is named in the message, at the line of the field', () => {
    expect(load('sections.leg.od=-5').problems).toMatchObject([
      {
        code: 'field/out-of-range',
        at: { line: 3 },
        message: 'od of leg is -5 mm; it takes 3 to 2000 mm (from --set sections.leg.od=-5)',
      },
    ]);
  });

  it('that gives unreadable YAML is told, not thrown', () => {
    expect(load('sections.leg.od=[1').problems).toMatchObject([
      { code: 'yaml/unreadable', message: expect.stringContaining('--set') },
    ]);
    expect(load('sections.leg.od=0x10').problems).toMatchObject([{ code: 'field/wrong-type' }]);
  });

  it('mends a value that the file has wrong', () => {
    expect(loadJob(TEXT.replace('od: 50', 'od: -50'), { sets: ['sections.leg.od=50'] }).problems).toEqual([]);
  });
});
