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
  /** Names stand above their lines, there being no room beside them. */
  stacked: boolean;
  pitch: number;
  /** How many letters of a name fit. */
  letters: number;
  lines: { y: number; nameY: number; line: IntervalLine }[];
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
  /** Room for names, px; where more than the usual does not fit beside the plot, names stand above their lines. */
  nameRoom?: number;
  pitch: number;
  head: number;
}

export const usualNameRoom = 140;
/** The least room for the plot itself beside long names. */
const leastPlot = 180;
/** How much higher a line is whose name stands above it. */
const nameHeight = 16;
/** A letter is about so wide, px. */
const letterWidth = 6.7;

export function layIntervals(lines: readonly IntervalLine[], shape: IntervalShape, width: number): IntervalLayout {
  const room = shape.nameRoom ?? usualNameRoom;
  const stacked = !shape.nameless && room > usualNameRoom && width < room + textRoom + leastPlot;
  const beside = room > usualNameRoom ? room : Math.min(room, width * 0.34);
  const left = shape.nameless || stacked ? 6 : beside;
  const right = Math.max(left + 40, width - textRoom);
  const above = stacked ? nameHeight : 0;
  const pitch = shape.pitch + above;
  const bottom = shape.head + lines.length * pitch;
  const values = lines.flatMap((l) => [l.main, l.other].flatMap((e) => (e ? [e.value, e.low, e.high] : [])));
  if (shape.neutral !== undefined) values.push(shape.neutral);
  const domain = bounded(domainOf(values, shape.kind), shape.kind);
  return {
    axis: makeAxis({ kind: shape.kind, label: shape.label, domain }, [left + 6, right - 6], 34),
    left,
    right,
    bottom,
    height: bottom + 40,
    stacked,
    pitch,
    letters: Math.floor((stacked ? width : Math.max(left - 8, 120)) / letterWidth),
    lines: lines.map((line, i) => {
      const y = shape.head + (i + 0.5) * pitch + above / 2;
      return { y, nameY: stacked ? y - shape.pitch / 2 : y + 4, line };
    }),
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
