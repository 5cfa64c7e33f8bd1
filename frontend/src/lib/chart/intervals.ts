// The geometry of a plot of estimates with their intervals, one line each.
import { type Axis, type AxisKind, domainOf, makeAxis } from './axis';

export interface Estimate {
  value: number;
  low: number;
  high: number;
  /** What stands to its right. */
  text: string;
}
export interface IntervalLine {
  name: string;
  strong?: boolean;
  /** The estimate to read: a filled square with a plain line. */
  main?: Estimate;
  /** The one beside it, before adjustment: a hollow ring with a broken line. */
  other?: Estimate;
  /** Why there is none. */
  why?: string;
}

export interface IntervalLayout {
  axis: Axis;
  left: number;
  right: number;
  bottom: number;
  height: number;
  lines: { y: number; line: IntervalLine }[];
}

/** Room on the right for "1.18 (0.98 to 1.42)". */
const textRoom = 146;

export interface IntervalShape {
  kind: AxisKind;
  label: string;
  /** Of no effect: 1 for ratios, 0 for differences. */
  neutral?: number;
  /** Leaves out the names: the plot stands beside another that has them. */
  nameless?: boolean;
  pitch: number;
  head: number;
}

export function layIntervals(lines: readonly IntervalLine[], shape: IntervalShape, width: number): IntervalLayout {
  const left = shape.nameless ? 6 : Math.min(140, width * 0.34);
  const right = Math.max(left + 40, width - textRoom);
  const bottom = shape.head + lines.length * shape.pitch;
  const values = lines.flatMap((l) => [l.main, l.other].flatMap((e) => (e ? [e.value, e.low, e.high] : [])));
  if (shape.neutral !== undefined) values.push(shape.neutral);
  const domain = bounded(domainOf(values, shape.kind), shape.kind);
  return {
    axis: makeAxis({ kind: shape.kind, label: shape.label, domain }, [left + 6, right - 6], 34),
    left,
    right,
    bottom,
    height: bottom + 40,
    lines: lines.map((line, i) => ({ y: shape.head + (i + 0.5) * shape.pitch, line })),
  };
}

/** One wild interval must not press all others into the middle: an axis of ratios ends at 1/5 and 5, and intervals run on past it. */
function bounded([low, high]: [number, number], kind: AxisKind): [number, number] {
  return kind === 'ratio' ? [Math.max(low, 0.2), Math.min(high, 5)] : [low, high];
}

/** Whether an end lies outside the axis, so that an arrow says that it runs on. */
export function runsOn(value: number, axis: Axis, right: number, left: number): -1 | 0 | 1 {
  const at = axis.at(value);
  if (at <= left + 6.01) return -1;
  return at >= right - 6.01 ? 1 : 0;
}
