// How much of a funnel is shown: where there are operators, and not the tower that any funnel is at one or two cases.

export interface Limit {
  n: number;
  low: number;
  high: number;
}

/** The part of the limits to draw, and the height of the chart in percent. */
export function funnelView(
  points: readonly { x: number; y: number }[],
  inner: readonly Limit[],
  outer: readonly Limit[],
  target: number,
): { inner: Limit[]; outer: Limit[]; top: number } {
  const fewest = Math.min(...points.map((p) => p.x), Number.MAX_SAFE_INTEGER);
  const from = Math.max(1, Math.floor(fewest / 2));
  const shown = (limits: readonly Limit[]) => limits.filter((l) => l.n >= from);
  const tower = Math.max(0, ...shown(outer).map((l) => l.high));
  const highest = Math.max(0, ...points.map((p) => p.y));
  return {
    inner: shown(inner),
    outer: shown(outer),
    top: 1.1 * Math.max(highest, Math.min(tower, 8 * target), target) || 1,
  };
}
