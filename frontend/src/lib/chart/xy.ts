// The geometry of every chart with two axes: points, lines, bands and rules laid over the same ground.
import { area, line } from 'd3-shape';
import { type Axis, type AxisKind, domainOf, makeAxis } from './axis';
import { radiusFor, type Shape, type Spot, type Tone } from './mark';

export interface XYPoint {
  x: number;
  y: number;
  tone: Tone;
  shape: Shape;
  text: readonly string[];
  href?: string;
  opens?: string;
}
export interface XYLine {
  points: readonly { x: number; y: number }[];
  /** "main" is the one to read; "limit" a broken one beside it. */
  kind: 'main' | 'limit' | 'faint';
  text?: string;
  /** Where along it the text is written, 0 to 1; its end if left out. */
  textAt?: number;
  /** Each value holds until the next, instead of a slope between them. */
  stepped?: boolean;
}
export interface XYBand {
  points: readonly { x: number; low: number; high: number }[];
}
/** A straight line across the chart. */
export interface XYRule {
  across: 'x' | 'y';
  at: number;
  text: string;
}
export interface XYShape {
  x: { kind: AxisKind; label: string; domain?: readonly [number, number] };
  y: { kind: AxisKind; label: string; domain?: readonly [number, number] };
  points: readonly XYPoint[];
  lines?: readonly XYLine[];
  bands?: readonly XYBand[];
  rules?: readonly XYRule[];
}

export interface XYLayout {
  x: Axis;
  y: Axis;
  left: number;
  right: number;
  top: number;
  bottom: number;
  spots: Spot[];
  radius: number;
  bands: string[];
  lines: { path: string; kind: XYLine['kind']; text: string; endX: number; endY: number }[];
  rules: { across: 'x' | 'y'; at: number; text: string }[];
}

const top = 28;
const foot = 40;

export function layXY(shape: XYShape, width: number, height: number): XYLayout {
  const left = 52;
  const right = Math.max(left + 60, width - 12);
  const bottom = height - foot;
  const x = makeAxis({ ...shape.x, domain: shape.x.domain ?? domainOf(allX(shape), shape.x.kind) }, [left, right], 56);
  const y = makeAxis({ ...shape.y, domain: shape.y.domain ?? domainOf(allY(shape), shape.y.kind) }, [bottom, top], 26);
  return {
    x,
    y,
    left,
    right,
    top,
    bottom,
    radius: radiusFor(shape.points.length),
    spots: shape.points.map((p) => ({ ...p, x: x.at(p.x), y: y.at(p.y), lane: 0 })),
    bands: (shape.bands ?? []).map((b) => bandPath(b, x, y)),
    lines: (shape.lines ?? []).filter((l) => l.points.length > 0).map((l) => laidLine(l, x, y)),
    rules: (shape.rules ?? []).map((r) => ({ ...r, at: (r.across === 'y' ? y : x).at(r.at) })),
  };
}

function bandPath(band: XYBand, x: Axis, y: Axis): string {
  const draw = area<{ x: number; low: number; high: number }>()
    .x((p) => x.at(p.x))
    .y0((p) => y.at(p.low))
    .y1((p) => y.at(p.high));
  return draw([...band.points]) ?? '';
}

function laidLine(given: XYLine, x: Axis, y: Axis): XYLayout['lines'][number] {
  const points = given.stepped ? stairs(given.points) : [...given.points];
  const draw = line<{ x: number; y: number }>()
    .x((p) => x.at(p.x))
    .y((p) => y.at(p.y));
  const end = points[Math.round((points.length - 1) * (given.textAt ?? 1))];
  return {
    path: draw(points) ?? '',
    kind: given.kind,
    text: given.text ?? '',
    endX: end ? x.at(end.x) : 0,
    endY: end ? y.at(end.y) : 0,
  };
}

function stairs(points: readonly { x: number; y: number }[]): { x: number; y: number }[] {
  return points.flatMap((p, i) => {
    const before = points[i - 1];
    return before ? [{ x: p.x, y: before.y }, p] : [p];
  });
}

function* allX(s: XYShape): Generator<number> {
  for (const p of s.points) yield p.x;
  for (const l of s.lines ?? []) for (const p of l.points) yield p.x;
  for (const b of s.bands ?? []) for (const p of b.points) yield p.x;
  for (const r of s.rules ?? []) if (r.across === 'x') yield r.at;
}

function* allY(s: XYShape): Generator<number> {
  for (const p of s.points) yield p.y;
  for (const l of s.lines ?? []) for (const p of l.points) yield p.y;
  for (const b of s.bands ?? []) for (const p of b.points) yield* [p.low, p.high];
  for (const r of s.rules ?? []) if (r.across === 'y') yield r.at;
}
