// What a typed acuity means, for the line under its field.
import type { Converted } from '../api/record';

const signed = (value: number, digits: number) =>
  value
    .toFixed(digits)
    .replace(/^-(0\.?0*)$/, '$1')
    .replace('-', '−');

/**
 * The acuity in logMAR and decimal, or why it has neither; "" while what is typed is not what was converted. Two decimals
 * of logMAR are one letter of a chart with five letters a line, of 0.02 each; common practice.
 */
export function acuityText(typed: string | undefined, converted: Converted | null | undefined): string {
  if (!converted || !typed?.trim() || converted.typed.trim() !== typed.trim()) return '';
  const { logMAR, decimal, convention, why } = converted;
  if (logMAR === null) return why.startsWith('"') ? 'kept as typed, not converted' : why;
  const values = [`logMAR ${signed(logMAR, 2)}`, decimal === null ? '' : `decimal ${Number(decimal.toPrecision(2))}`];
  return values.filter(Boolean).join(', ') + (convention ? ` (${convention})` : '');
}

/** How much better or worse the eye sees than before, in logMAR; "" while it cannot be told. */
export function gainText(gain: number | null | undefined): string {
  if (gain === null || gain === undefined) return '';
  const size = Math.abs(gain).toFixed(2);
  if (Number(size) === 0) return 'the same';
  return `${size} logMAR ${gain > 0 ? 'better' : 'worse'}`;
}
