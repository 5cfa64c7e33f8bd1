// From point to point: by pointer to the nearest, by arrow key to the next.
import type { Spot } from './mark';

/** The index of the spot nearest to a place, within reach (px); -1 when none is. */
export function nearest(spots: readonly Pick<Spot, 'x' | 'y'>[], x: number, y: number, reach = 22): number {
  let found = -1;
  let best = reach * reach;
  for (let i = 0; i < spots.length; i++) {
    const s = spots[i];
    if (!s) continue;
    const d = (s.x - x) ** 2 + (s.y - y) ** 2;
    if (d <= best) {
      best = d;
      found = i;
    }
  }
  return found;
}

export type Step = 'ArrowLeft' | 'ArrowRight' | 'ArrowUp' | 'ArrowDown' | 'Home' | 'End';
const steps: readonly string[] = ['ArrowLeft', 'ArrowRight', 'ArrowUp', 'ArrowDown', 'Home', 'End'];
export const isStep = (key: string): key is Step => steps.includes(key);

/** The spot that an arrow key leads to: left and right along the lane, up and down to the next lane that has points. */
export function walk(spots: readonly Spot[], from: number, step: Step): number {
  const here = spots[from];
  if (!here)
    return (
      along(
        spots,
        spots.reduce((least, s) => Math.min(least, s.lane), Number.POSITIVE_INFINITY),
      )[0] ?? -1
    );
  const lane = along(spots, here.lane);
  const place = lane.indexOf(from);
  switch (step) {
    case 'ArrowLeft':
      return lane[Math.max(0, place - 1)] ?? from;
    case 'ArrowRight':
      return lane[Math.min(lane.length - 1, place + 1)] ?? from;
    case 'Home':
      return lane[0] ?? from;
    case 'End':
      return lane.at(-1) ?? from;
    default:
      return across(spots, from, step === 'ArrowUp' ? -1 : 1);
  }
}

function along(spots: readonly Spot[], lane: number): number[] {
  const found = spots.map((s, i) => (s.lane === lane ? i : -1)).filter((i) => i >= 0);
  const at = (i: number) => spots[i] ?? { x: 0, y: 0 };
  return found.sort((a, b) => at(a).x - at(b).x || at(a).y - at(b).y);
}

function across(spots: readonly Spot[], from: number, way: 1 | -1): number {
  const here = spots[from];
  if (!here) return from;
  const lanes = [...new Set(spots.map((s) => s.lane))].sort((a, b) => a - b);
  const next = lanes[lanes.indexOf(here.lane) + way];
  if (next === undefined) return from;
  let found = from;
  let best = Number.POSITIVE_INFINITY;
  spots.forEach((s, i) => {
    if (s.lane === next && Math.abs(s.x - here.x) < best) {
      best = Math.abs(s.x - here.x);
      found = i;
    }
  });
  return found;
}
