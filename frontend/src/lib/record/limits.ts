// What a typed number is worth: possible, unusual, or a slip of the pen. The ranges are the server's.
import type { Limit } from '../api/unit';
import { numberText } from '../text/number';

export interface Verdict {
  /** "refused" is not kept; "unusual" is kept, and asked about. */
  kind: 'taken' | 'unusual' | 'refused';
  /** What stands at the field, with the range; "" for what is taken. */
  text: string;
}

const taken: Verdict = { kind: 'taken', text: '' };

/** Judges a number; one without a known range is taken. */
export function judge(value: number | undefined, limit: Limit | undefined): Verdict {
  if (value === undefined || !limit) return taken;
  if (value < limit.least || value > limit.most) {
    return { kind: 'refused', text: `Not saved: possible is ${range(limit.least, limit.most, limit.unit)}.` };
  }
  const { warnLow, warnHigh } = limit;
  if ((warnLow != null && value < warnLow) || (warnHigh != null && value > warnHigh)) {
    const usual = range(warnLow ?? limit.least, warnHigh ?? limit.most, limit.unit);
    return { kind: 'unusual', text: `Unusual: most lie from ${usual}. Saved as it is.` };
  }
  return taken;
}

function range(low: number, high: number, unit: string): string {
  const text = (n: number) => numberText(n).replace('-', '−');
  return `${text(low)} to ${text(high)} ${unit === 'percent' ? '%' : unit}`.trim();
}
