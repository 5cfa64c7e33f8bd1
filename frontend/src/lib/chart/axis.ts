// The axes of all charts: where a value stands and which values are written beside it.
import { extent, ticks as niceTicks } from 'd3-array';
import { scaleLinear, scaleLog } from 'd3-scale';
import { dateText, dayOf, duration } from '../text/format';
import { plainNumber } from './number';

/** "time" ms on a log scale; "ratio" to the group on a log scale; "log" any positive number; "date" Unix ms. */
export type AxisKind = 'time' | 'ratio' | 'log' | 'linear' | 'percent' | 'date';
export interface AxisSpec {
  kind: AxisKind;
  /** The name with its unit. */
  label: string;
  domain: readonly [number, number];
}
export interface Tick {
  at: number;
  text: string;
}
export interface Axis {
  /** Pixels of a value; a value that the scale has no place for stands at its nearest end. */
  at: (value: number) => number;
  ticks: Tick[];
}

const timeTicks = [0.5, 1, 2, 5, 10, 20, 30, 60, 120, 300, 600, 1200, 1800, 3600, 7200].map((s) => s * 1000);
const ratioTicks = [0.1, 0.2, 0.33, 0.5, 0.67, 0.8, 1, 1.25, 1.5, 2, 3, 5, 10];
const logTicks = [0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000, 10_000];

/** How wide a log axis is at the least, so that a small spread does not look like a large one. */
const leastRatio = { time: 4, ratio: 4, log: 3 } as const;

export function isLog(kind: AxisKind): kind is 'time' | 'ratio' | 'log' {
  return kind === 'time' || kind === 'ratio' || kind === 'log';
}

/** A domain that holds all values with room at both ends. Values that are not finite, or not above 0 on a log scale, are left out. */
export function domainOf(values: Iterable<number>, kind: AxisKind): [number, number] {
  const usable = [...values].filter((v) => Number.isFinite(v) && (!isLog(kind) || v > 0));
  const [low, high] = extent(usable);
  if (low === undefined || high === undefined) return isLog(kind) ? [1, leastRatio[kind]] : [0, 1];
  if (!isLog(kind)) {
    const room = (high - low || Math.abs(high) || 1) * 0.06;
    return [low - room, high + room];
  }
  if (kind === 'ratio') return [Math.min(0.5, low / 1.1), Math.max(2, high * 1.1)];
  const missing = Math.max(1, leastRatio[kind] / (high / low));
  const room = 1.12 * Math.sqrt(missing);
  return [low / room, high * room];
}

/** Lays an axis over a range of pixels; spacing is how near two written values may stand. */
export function makeAxis(spec: AxisSpec, range: readonly [number, number], spacing = 46): Axis {
  const scale = (isLog(spec.kind) ? scaleLog() : scaleLinear()).domain(spec.domain).range(range).clamp(true);
  const length = Math.abs(range[1] - range[0]);
  const written = wanted(spec, Math.floor(length / spacing)).map((v) => ({
    at: scale(v),
    text: tickText(spec.kind, v),
  }));
  return { at: (v) => scale(v), ticks: isLog(spec.kind) ? thinned(written, spacing) : written };
}

function wanted(spec: AxisSpec, most: number): number[] {
  const [low, high] = spec.domain;
  if (!isLog(spec.kind)) return evenTicks(low, high, most);
  const table = { time: timeTicks, ratio: ratioTicks, log: logTicks }[spec.kind];
  const inside = table.filter((v) => v >= low && v <= high);
  return inside.length > 1 ? inside : niceTicks(low, high, 3).filter((v) => v > 0);
}

/** Round values at even distances, no more of them than there is room for. */
function evenTicks(low: number, high: number, most: number): number[] {
  for (let count = Math.max(2, most); count > 1; count--) {
    const found = niceTicks(low, high, count);
    if (found.length <= Math.max(2, most)) return found;
  }
  return niceTicks(low, high, 1);
}

/** Drops what would touch its neighbour; 1 on an axis of ratios is never dropped. */
function thinned(ticks: Tick[], spacing: number): Tick[] {
  const kept: Tick[] = ticks.filter((t) => t.text === '1');
  for (const t of ticks) {
    if (kept.every((k) => Math.abs(k.at - t.at) >= spacing)) kept.push(t);
  }
  return kept.sort((a, b) => a.at - b.at);
}

function tickText(kind: AxisKind, value: number): string {
  switch (kind) {
    case 'time':
      return value < 1000 ? `${value / 1000} s` : duration(value);
    case 'percent':
      return `${plainNumber(value)} %`;
    case 'date':
      return dateText(dayOf(value)).replace(/^\d+ /, '');
    default:
      return plainNumber(value);
  }
}
