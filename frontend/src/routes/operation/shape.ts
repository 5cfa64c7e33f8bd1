// Shapes drawn over the film: points are fractions of the frame's width and height.
import type { Shape } from '../../lib/api/types';

export type Point = [number, number];

export const shapeNames: Record<Shape['kind'], string> = { arrow: 'Arrow', ring: 'Ring', line: 'Line' };

const clamp = (n: number) => Math.min(Math.max(n, 0), 1);

/** A point inside the frame, to a ten-thousandth. */
export function inFrame(x: number, y: number): Point {
  return [Math.round(clamp(x) * 10_000) / 10_000, Math.round(clamp(y) * 10_000) / 10_000];
}

/** The most points of a line. */
const mostPoints = 500;

/** A shape with one more point: a line grows, the others have a start and an end. */
export function extended(shape: Shape, point: Point): Shape {
  const [first] = shape.points;
  if (!first) return { ...shape, points: [point] };
  if (shape.kind !== 'line') return { ...shape, points: [first, point] };
  if (shape.points.length >= mostPoints) return shape;
  return { ...shape, points: [...shape.points, point] };
}

/** Whether the shape can be seen: two points apart. */
export function drawn(shape: Shape | undefined): shape is Shape {
  if (!shape || shape.points.length < 2) return false;
  const [first] = shape.points as [Point];
  return shape.points.some(([x, y]) => Math.hypot(x - first[0], y - first[1]) > 0.005);
}

/** The path of a shape for SVG on a frame of the given pixels. A ring is as wide and high as its two points are apart from the middle. */
export function pathOf(shape: Shape, width: number, height: number): string {
  const points = shape.points.map(([x, y]): Point => [x * width, y * height]);
  const [a, b] = points;
  if (!a || !b) return '';
  if (shape.kind === 'line') return `M${points.map((p) => p.map(short).join(' ')).join('L')}`;
  if (shape.kind === 'ring') {
    const r = Math.hypot(b[0] - a[0], b[1] - a[1]);
    return `M${short(a[0] - r)} ${short(a[1])}a${short(r)} ${short(r)} 0 1 0 ${short(2 * r)} 0a${short(r)} ${short(r)} 0 1 0 ${short(-2 * r)} 0`;
  }
  return arrow(a, b);
}

function arrow(a: Point, b: Point): string {
  const angle = Math.atan2(b[1] - a[1], b[0] - a[0]);
  const head = Math.min(22, Math.hypot(b[0] - a[0], b[1] - a[1]) * 0.5);
  const wing = (turn: number) =>
    `${short(b[0] - head * Math.cos(angle + turn))} ${short(b[1] - head * Math.sin(angle + turn))}`;
  const tip = `${short(b[0])} ${short(b[1])}`;
  return `M${short(a[0])} ${short(a[1])}L${tip}M${wing(0.5)}L${tip}L${wing(-0.5)}`;
}

function short(n: number): string {
  return String(Math.round(n * 10) / 10);
}

/** The box of the picture inside the player: the frame keeps its proportions and is centred. */
export function pictureBox(width: number, height: number, frame: { width: number; height: number }) {
  if (frame.width <= 0 || frame.height <= 0) return { left: 0, top: 0, width, height };
  const scale = Math.min(width / frame.width, height / frame.height);
  const [w, h] = [frame.width * scale, frame.height * scale];
  return { left: (width - w) / 2, top: (height - h) / 2, width: w, height: h };
}
