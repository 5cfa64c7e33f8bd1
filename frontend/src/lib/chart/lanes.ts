// The geometry of lanes: one lane for each person, every case a point on one axis of time, the group behind.
import { type Axis, type AxisSpec, domainOf, makeAxis } from './axis';
import { radiusFor, type Shape, type Spot, type Tone } from './mark';
import { spread } from './spread';

export interface LanePoint {
  value: number;
  shape: Shape;
  text: readonly string[];
  href?: string;
  opens?: string;
}
export interface Lane {
  name: string;
  tone: Tone;
  n: number;
  /** Quartiles; shown from five cases on. */
  box?: { q1: number; median: number; q3: number };
  /** Why there is no summary. */
  why?: string;
  points: readonly LanePoint[];
}
/** The reference group: its middle half within its middle nine tenths. */
export interface LaneBand {
  low: number;
  q1: number;
  median: number;
  q3: number;
  high: number;
}

export const laneHeight = 34;
/** The room above the lanes for the name of the band. */
export const headHeight = 20;
export const footHeight = 40;
/** Below five a quartile says more than the cases do. */
export const leastForBox = 5;

export interface LanesLayout {
  axis: Axis;
  left: number;
  right: number;
  top: number;
  bottom: number;
  height: number;
  /** Names stand above their lanes, there being no room beside them. */
  stacked: boolean;
  middles: number[];
  spots: Spot[];
  radius: number;
}

/** How high one lane is where names stand above it. */
export const stackedHeight = 48;

export function layLanes(
  lanes: readonly Lane[],
  band: LaneBand | undefined,
  label: string,
  width: number,
): LanesLayout {
  const stacked = width < 420;
  const left = stacked ? 8 : 132;
  const right = Math.max(left + 40, width - (stacked ? 8 : 12));
  const pitch = stacked ? stackedHeight : laneHeight;
  const top = headHeight;
  const bottom = top + pitch * lanes.length;
  const axis = makeAxis(laneAxis(lanes, band, label), [left + 8, right - 8]);
  const middles = lanes.map((_, i) => top + i * pitch + (stacked ? 32 : pitch / 2));
  const radius = radiusFor(Math.max(0, ...lanes.map((l) => l.points.length)));
  const spots = lanes.flatMap((lane, i) => laneSpots(lane, i, middles[i] ?? 0, axis, radius));
  return { axis, left, right, top, bottom, height: bottom + footHeight, stacked, middles, spots, radius };
}

function laneAxis(lanes: readonly Lane[], band: LaneBand | undefined, label: string): AxisSpec {
  const values = lanes.flatMap((l) => l.points.map((p) => p.value));
  if (band) values.push(band.low, band.high);
  return { kind: 'time', label, domain: domainOf(values, 'time') };
}

function laneSpots(lane: Lane, index: number, middle: number, axis: Axis, radius: number): Spot[] {
  const x = lane.points.map((p) => axis.at(p.value));
  const offsets = spread(x, radius * 2, 10);
  return lane.points.map((p, i) => ({
    x: x[i] ?? 0,
    y: middle + (offsets[i] ?? 0),
    lane: index,
    shape: p.shape,
    tone: lane.tone,
    text: p.text,
    href: p.href,
    opens: p.opens,
  }));
}
