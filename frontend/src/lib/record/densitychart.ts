// The geometry of endothelial counts over the visits: one column for each visit, an interval bar for each count.
import type { DensityPoint } from '../api/record';
import type { Eye } from '../api/types';
import { type Axis, domainOf, makeAxis } from '../chart/axis';
import { dateText } from '../text/format';
import { momentOf } from './density';

export interface DensityColumn {
  x: number;
  name: string;
  /** "" where there is no room for it. */
  date: string;
}
export interface DensityMark {
  x: number;
  y: number;
  /** Ends of the interval bar; absent while the counting error is not known. */
  bar?: { top: number; bottom: number };
  operated: boolean;
  text: string;
  textX: number;
  anchor: 'start' | 'end';
  /** Which eye it is, at its last count; "" elsewhere and where there is only one eye. */
  name: string;
}
export interface DensityLayout {
  axis: Axis;
  left: number;
  right: number;
  top: number;
  bottom: number;
  height: number;
  columns: DensityColumn[];
  marks: DensityMark[];
  /** The way of each eye through its counts; "" for fewer than two. */
  ways: { operated: boolean; path: string }[];
  /** What ageing alone would have left. */
  expected: { x1: number; x2: number; y: number }[];
}

const height = 216;
const top = 30;
const foot = 40;
/** Room for "2000" at the side. */
const leftRoom = 40;
/** How far the marks of two eyes stand from the middle of their column. */
const aside = 9;
/** A date such as 24 Mar 2026 needs so much. */
const dateRoom = 84;

/** Lays out the counts of both eyes. Values are never cut off: the axis holds every interval, and need not begin at 0. */
export function layDensities(points: readonly DensityPoint[], operated: Eye, width: number): DensityLayout {
  const left = leftRoom;
  const right = Math.max(left + 60, width);
  const bottom = height - foot;
  const values = points.flatMap((p) => [
    p.density,
    p.low ?? p.density,
    p.high ?? p.density,
    p.expectedWithoutSurgery ?? p.density,
  ]);
  const axis = makeAxis({ kind: 'linear', label: '', domain: domainOf(values, 'linear') }, [bottom, top], 30);
  const keys = columnKeys(points);
  const pitch = (right - left) / Math.max(1, keys.length);
  const middle = (p: DensityPoint) => left + (keys.indexOf(keyOf(p)) + 0.5) * pitch;
  const both = points.some((p) => p.eye !== operated);

  const marks = points.map((p): DensityMark => {
    const own = p.eye === operated;
    const x = middle(p) + (both ? (own ? -aside : aside) : 0);
    const before = both && own;
    return {
      x,
      y: axis.at(p.density),
      ...(p.low === null || p.high === null ? {} : { bar: { top: axis.at(p.high), bottom: axis.at(p.low) } }),
      operated: own,
      text: p.density.toFixed(0),
      textX: x + (before ? -8 : 8),
      anchor: before ? 'end' : 'start',
      name: both && p === lastOf(points, p.eye) ? (own ? 'operated' : 'fellow') : '',
    };
  });
  return {
    axis,
    left,
    right,
    top,
    bottom,
    height,
    columns: keys.map((key, i) => {
      const first = points.find((p) => keyOf(p) === key);
      return {
        x: left + (i + 0.5) * pitch,
        name: first ? momentOf(first) : '',
        date: first && pitch >= dateRoom ? dateText(first.date) : '',
      };
    }),
    marks,
    ways: [true, false].map((own) => ({ operated: own, path: wayOf(marks.filter((m) => m.operated === own)) })),
    expected: points.flatMap((p) => {
      if (p.expectedWithoutSurgery === null || p.eye !== operated) return [];
      const [x, y] = [middle(p), axis.at(p.expectedWithoutSurgery)];
      return [{ x1: x - 2 * aside, x2: x + 2 * aside, y }];
    }),
  };
}

const keyOf = (p: DensityPoint) => p.visitId || 'before';

/** The eye before comes first, then the visits by date. */
function columnKeys(points: readonly DensityPoint[]): string[] {
  const dates = new Map<string, string>();
  for (const p of points) if (!dates.has(keyOf(p))) dates.set(keyOf(p), p.visitId ? p.date : '');
  return [...dates].sort(([, a], [, b]) => a.localeCompare(b)).map(([key]) => key);
}

function wayOf(marks: readonly DensityMark[]): string {
  if (marks.length < 2) return '';
  return [...marks]
    .sort((a, b) => a.x - b.x)
    .map((m, i) => `${i === 0 ? 'M' : 'L'}${m.x.toFixed(1)} ${m.y.toFixed(1)}`)
    .join('');
}

/** The last count of an eye; counts before the operation come first. */
function lastOf(points: readonly DensityPoint[], eye: Eye): DensityPoint | undefined {
  const order = (p: DensityPoint) => (p.visitId ? p.date : '');
  return points
    .filter((p) => p.eye === eye)
    .sort((a, b) => order(a).localeCompare(order(b)))
    .at(-1);
}
