// Numbers as charts write them.
import { duration } from '../text/format';

/** At most three significant decimals, a true minus sign. */
export function plainNumber(value: number): string {
  return String(Number(value.toPrecision(3))).replace('-', '−');
}

/** A ratio to the group with two decimals: 1.18. */
export const ratioText = (ratio: number) => ratio.toFixed(2);

export interface Interval {
  low: number;
  high: number;
}

/** "1.18 (0.98 to 1.42)". */
export const ratioWithInterval = (r: { ratio: number } & Interval) =>
  `${ratioText(r.ratio)} (${ratioText(r.low)} to ${ratioText(r.high)})`;

/** A length of time, below ten seconds with its tenth: "0:07.4", "1:42". */
export function timeLength(ms: number): string {
  if (Math.abs(ms) >= 10_000) return duration(ms);
  return `0:${(Math.round(ms / 100) / 10).toFixed(1).padStart(4, '0')}`;
}

/** "14 cases", "1 case". */
export const counted = (n: number, one: string, many = `${one}s`) =>
  `${n.toLocaleString('en-GB')} ${n === 1 ? one : many}`;
