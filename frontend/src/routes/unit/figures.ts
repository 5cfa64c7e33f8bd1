// The figures of the unit's record in words. A share is told with its interval and its count, or not at all.
import type { Rate } from '../../lib/api/unitrecord';

/** One decimal, two below 1 %. */
export function percentText(percent: number): string {
  return percent > 0 && percent < 1 ? percent.toFixed(2) : percent.toFixed(1);
}

/** A share and its interval, to be kept whole each; why there is none otherwise. */
export function rateParts(rate: Rate): string[] {
  if (rate.percent === null || rate.low === null || rate.high === null) return ['no percentage:', 'fewer than 5'];
  return [`${percentText(rate.percent)} %`, `(${percentText(rate.low)} to ${percentText(rate.high)})`];
}
export const rateText = (rate: Rate): string => rateParts(rate).join(' ');

/** How much of a whole is there, in whole percent; undefined for fewer than five. */
export function shareText(have: number, of: number): string | undefined {
  if (of < 5) return undefined;
  const share = (100 * have) / of;
  // Not all there must not read as all there, nor something as nothing.
  const shown = have === of || have === 0 ? share : Math.min(99, Math.max(1, Math.round(share)));
  return `${shown} %`;
}

/** A round end for a scale on which all rates are drawn, percent. */
export function scaleEnd(rates: readonly Rate[]): number {
  const most = Math.max(0, ...rates.map((r) => r.high ?? 0));
  return [1, 2, 5, 10, 20, 50].find((end) => end >= most) ?? 100;
}

export interface Drawn {
  low: number;
  high: number;
  at: number;
}

/** Where a rate lies on a scale from 0 to its end, in percent of the width; undefined where there is no rate. */
export function drawn(rate: Rate, end: number): Drawn | undefined {
  if (rate.percent === null || rate.low === null || rate.high === null || end <= 0) return undefined;
  const on = (value: number) => Math.min(100, (100 * value) / end);
  return { low: on(rate.low), high: on(rate.high), at: on(rate.percent) };
}
