import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { BWG_INCHES } from '../../src/job/gauge.ts';
import { parseAngle, parseLength, parseWall, type Reading, type Units } from '../../src/job/units.ts';

const value = (reading: Reading): number => {
  if (!reading.ok) throw new Error(`${reading.code}: ${reading.message}`);
  return reading.value;
};
const code = (reading: Reading): string => (reading.ok ? `read as ${reading.value}` : reading.code);

describe('a length', () => {
  const read: readonly [string | number, Units, number][] = [
    [57.15, 'mm', 57.15],
    ['57.15', 'mm', 57.15],
    ['57.15mm', 'in', 57.15],
    ['57.15 MM', 'mm', 57.15],
    ['5.7cm', 'mm', 57],
    ['1.2m', 'mm', 1200],
    [2.25, 'in', 57.15],
    ['2.25', 'in', 57.15],
    ['2.25in', 'mm', 57.15],
    ['2-1/4in', 'mm', 57.15],
    ['2 1/4 in', 'mm', 57.15],
    ['2 - 1/4 inches', 'mm', 57.15],
    ['2¼in', 'mm', 57.15],
    ['9/4in', 'mm', 57.15],
    ['1/2"', 'mm', 12.7],
    ['1/2”', 'mm', 12.7],
    ['3"', 'mm', 76.2],
    ['1.5"', 'mm', 38.1],
    ['1 1/2', 'in', 38.1],
    ["2'", 'mm', 609.6],
    ['2ft', 'mm', 609.6],
    ['2 feet', 'mm', 609.6],
    ['1\' 6-1/2"', 'mm', 469.9],
    ['1\'6-1/2"', 'mm', 469.9],
    ['1\'-6"', 'mm', 457.2],
    ['1ft 6in', 'mm', 457.2],
    ['-1\' 6"', 'mm', -457.2],
    ['-2-1/4in', 'mm', -57.15],
    ['−3', 'mm', -3],
    ['+3', 'mm', 3],
    ['.5in', 'mm', 12.7],
    ['1e3', 'mm', 1000],
    [1e3, 'mm', 1000],
    ['1_000', 'mm', 1000],
    ['1/3in', 'mm', 8.4666666667],
    ['3.0000000000000004in', 'mm', 76.2],
    [0, 'in', 0],
    [1e-7, 'mm', 1e-7],
  ];
  it.each(read)('%j in a job of %s is %d mm, the nearest double to the nearest 1e-10 mm', (text, units, mm) => {
    expect(value(parseLength(text, units))).toBe(mm);
  });

  const refused: readonly [string | number, Units, string][] = [
    ['', 'mm', 'unit/unreadable'],
    ['  ', 'mm', 'unit/unreadable'],
    ['1 1/2', 'mm', 'unit/ambiguous'],
    ['57,15', 'mm', 'unit/ambiguous'],
    ['1,000', 'mm', 'unit/ambiguous'],
    ['12:30', 'mm', 'unit/unreadable'],
    ['yes', 'mm', 'unit/unreadable'],
    ['0x10', 'mm', 'unit/unreadable'],
    ['16bwg', 'mm', 'unit/unreadable'],
    ['1/0in', 'mm', 'unit/unreadable'],
    ['2-5/4in', 'mm', 'unit/unreadable'],
    ['5 yd', 'mm', 'unit/unreadable'],
    ['1.5-1/2in', 'mm', 'unit/unreadable'],
    ['3 4', 'mm', 'unit/unreadable'],
    ['--3', 'mm', 'unit/unreadable'],
    ['1e400', 'mm', 'unit/unreadable'],
    ['9'.repeat(500), 'mm', 'unit/unreadable'],
    [Number.NaN, 'mm', 'unit/unreadable'],
    [Number.POSITIVE_INFINITY, 'in', 'unit/unreadable'],
  ];
  it.each(refused)('%j in a job of %s is refused as %s', (text, units, wanted) => {
    expect(code(parseLength(text, units))).toBe(wanted);
  });

  it('never is minus zero', () => {
    for (const text of ['-0', '-0in', '-0.0mm']) expect(Object.is(value(parseLength(text, 'mm')), 0)).toBe(true);
    expect(Object.is(value(parseLength(-0, 'in')), 0)).toBe(true);
  });

  it('in sixteenths of an inch is the double nearest the exact millimeters', () => {
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 5000 }), fc.integer({ min: 1, max: 15 }), (inches, sixteenths) => {
        // 25.4 / 16 = 1.5875 exactly, so the sum is a decimal with four places.
        const tenThousandths = BigInt(inches * 16 + sixteenths) * 15875n;
        const exact = Number(`${tenThousandths}e-4`);
        expect(value(parseLength(`${inches}-${sixteenths}/16in`, 'mm'))).toBe(exact);
        expect(value(parseLength(`${inches} ${sixteenths}/16"`, 'in'))).toBe(exact);
      }),
      { numRuns: 500 },
    );
  });

  it('written out in mm is read back to 1e-10 mm', () => {
    fc.assert(
      fc.property(fc.double({ min: -1e5, max: 1e5, noNaN: true }), (mm) => {
        if (Math.abs(mm) < 1e-6) return;
        expect(Math.abs(Number(value(parseLength(String(mm), 'mm'))) - mm)).toBeLessThanOrEqual(1e-10);
      }),
    );
  });

  it('gives a value or a complaint for any text', () => {
    const letters = fc.constantFrom(...'0123456789./-+ \'"eEinmftcbwga:,_°½xD');
    fc.assert(
      fc.property(fc.string({ unit: letters, maxLength: 20 }), (text) => {
        for (const reading of [
          parseLength(text, 'mm'),
          parseLength(text, 'in'),
          parseWall(text, 'mm'),
          parseAngle(text),
        ]) {
          if (reading.ok) expect(Number.isFinite(reading.value)).toBe(true);
          else expect(reading.message).not.toBe('');
        }
      }),
      { numRuns: 3000 },
    );
  });
});

describe('a wall', () => {
  // Printed in tube tables, inches.
  const checked: readonly [string, number][] = [
    ['10bwg', 0.134],
    ['11bwg', 0.12],
    ['12bwg', 0.109],
    ['13bwg', 0.095],
    ['14bwg', 0.083],
    ['15bwg', 0.072],
    ['16bwg', 0.065],
    ['17bwg', 0.058],
    ['18bwg', 0.049],
    ['19bwg', 0.042],
    ['20bwg', 0.035],
  ];
  // From memory, inches: no printed table was at hand.
  const remembered: readonly [string, number][] = [
    ['00bwg', 0.38],
    ['2/0bwg', 0.38],
    ['0bwg', 0.34],
    ['1bwg', 0.3],
    ['8bwg', 0.165],
    ['08bwg', 0.165],
    ['22bwg', 0.028],
    ['30bwg', 0.012],
  ];
  it.each([...checked, ...remembered])('of %s is %d in', (text, inches) => {
    expect(value(parseWall(text, 'mm'))).toBeCloseTo(inches * 25.4, 12);
    expect(value(parseWall(text, 'in'))).toBe(value(parseLength(`${inches}in`, 'mm')));
  });

  it('is read in any way of writing the gauge', () => {
    for (const text of ['16bwg', '16 BWG', 'bwg 16', '16-bwg']) expect(value(parseWall(text, 'mm'))).toBe(1.651);
  });

  it('grows thinner with every number of the gauge', () => {
    const walls = [...BWG_INCHES.values()].map(Number);
    expect(walls).toEqual([...walls].sort((p, q) => q - p));
    expect(new Set(walls).size).toBe(walls.length);
  });

  it.each(['16ga', '16 gauge', '16 GA.', '16 gage', '#16', 'gauge 16'])(
    'of %s is refused with both meanings',
    (text) => {
      const reading = parseWall(text, 'mm');
      expect(reading).toMatchObject({ ok: false, code: 'unit/ambiguous', hint: expect.stringContaining('16bwg') });
      expect(reading.ok ? '' : reading.message).toContain('0.065 in');
      expect(reading.ok ? '' : reading.message).toContain('0.0598 in');
    },
  );

  it('of a gauge we do not have is refused', () => {
    for (const text of ['31bwg', '99bwg', '16swg', '16awg'])
      expect(code(parseWall(text, 'mm'))).toBe('unit/unreadable');
  });

  it('may be a plain length too', () => {
    expect(value(parseWall('1/8in', 'mm'))).toBe(3.175);
    expect(value(parseWall(2, 'mm'))).toBe(2);
  });
});

describe('an angle', () => {
  const read: readonly [string | number, number][] = [
    [45, 45],
    ['45', 45],
    ['45deg', 45],
    ['45 degrees', 45],
    ['45°', 45],
    ['22.5°', 22.5],
    ['22-1/2', 22.5],
    ['22d30m', 22.5],
    ["22°30'", 22.5],
    ['22d 30m 36s', 22.51],
    ['-30', -30],
    ['1:1', 45],
    ['12:12', 45],
    [-0, 0],
  ];
  it.each(read)('%j is %d degrees', (text, deg) => {
    expect(value(parseAngle(text))).toBeCloseTo(deg, 12);
  });

  it('may be a slope, rise to run', () => {
    // tan(4.7636417 deg) = 1/12, tan(18.4349488 deg) = 4/12
    expect(value(parseAngle('1:12'))).toBeCloseTo(4.7636416907, 9);
    expect(value(parseAngle('4:12'))).toBeCloseTo(18.4349488229, 9);
    expect(value(parseAngle('-1:12'))).toBeCloseTo(-4.7636416907, 9);
    expect(value(parseAngle('5:100'))).toBeCloseTo(2.8624052261, 9);
    expect(value(parseAngle('3:4'))).toBeCloseTo(36.8698976458, 9);
  });

  const refused: readonly [string, string][] = [
    ['12:30', 'unit/ambiguous'],
    ['22,5', 'unit/ambiguous'],
    ['0:0', 'unit/unreadable'],
    ['10%', 'unit/unreadable'],
    ['0.5rad', 'unit/unreadable'],
    ['22d75m', 'unit/unreadable'],
    ['steep', 'unit/unreadable'],
    ['', 'unit/unreadable'],
  ];
  it.each(refused)('%j is refused as %s', (text, wanted) => {
    expect(code(parseAngle(text))).toBe(wanted);
  });
});
