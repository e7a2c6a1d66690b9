/**
 * Birmingham wire gauge, wall in inches as the tube trade lists it. 10 to 20 are checked against printed tube tables;
 * the others are from memory.
 */
export const BWG_INCHES: ReadonlyMap<string, string> = new Map([
  ['00000', '0.500'],
  ['0000', '0.454'],
  ['000', '0.425'],
  ['00', '0.380'],
  ['0', '0.340'],
  ['1', '0.300'],
  ['2', '0.284'],
  ['3', '0.259'],
  ['4', '0.238'],
  ['5', '0.220'],
  ['6', '0.203'],
  ['7', '0.180'],
  ['8', '0.165'],
  ['9', '0.148'],
  ['10', '0.134'],
  ['11', '0.120'],
  ['12', '0.109'],
  ['13', '0.095'],
  ['14', '0.083'],
  ['15', '0.072'],
  ['16', '0.065'],
  ['17', '0.058'],
  ['18', '0.049'],
  ['19', '0.042'],
  ['20', '0.035'],
  ['21', '0.032'],
  ['22', '0.028'],
  ['23', '0.025'],
  ['24', '0.022'],
  ['25', '0.020'],
  ['26', '0.018'],
  ['27', '0.016'],
  ['28', '0.014'],
  ['29', '0.013'],
  ['30', '0.012'],
]);

/**
 * Manufacturers' standard gauge for sheet steel, inches, from memory: only ever shown, to say why a bare gauge number is
 * refused.
 */
export const SHEET_GAUGE_INCHES: ReadonlyMap<string, string> = new Map([
  ['7', '0.1793'],
  ['8', '0.1644'],
  ['9', '0.1495'],
  ['10', '0.1345'],
  ['11', '0.1196'],
  ['12', '0.1046'],
  ['13', '0.0897'],
  ['14', '0.0747'],
  ['15', '0.0673'],
  ['16', '0.0598'],
  ['17', '0.0538'],
  ['18', '0.0478'],
  ['19', '0.0418'],
  ['20', '0.0359'],
  ['21', '0.0329'],
  ['22', '0.0299'],
  ['23', '0.0269'],
  ['24', '0.0239'],
  ['25', '0.0209'],
  ['26', '0.0179'],
  ['27', '0.0164'],
  ['28', '0.0149'],
  ['29', '0.0135'],
  ['30', '0.0120'],
]);

/** `2/0` and `00` are one gauge. */
export function bwgKey(text: string): string {
  const oughts = /^([2-5])\/0$/.exec(text);
  if (oughts) return '0'.repeat(Number(oughts[1]));
  return /^0+$/.test(text) ? text : text.replace(/^0+(?=\d)/, '');
}
