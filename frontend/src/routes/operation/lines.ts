import type { Instant } from '../../lib/api/types';
import type { Line } from '../../lib/reading/sheet';

/** The line above (-1) or below (1) the selected one; without a selection, the nearest in that direction from now. */
export function lineFrom(
  lines: readonly Line[],
  selected: Line | undefined,
  now: number,
  by: 1 | -1,
): Line | undefined {
  if (selected) {
    const at = lines.findIndex((l) => l.kind === selected.kind && l.id === selected.id);
    return lines[Math.min(Math.max(0, at + by), lines.length - 1)];
  }
  if (by < 0) return lines.findLast((l) => l.time <= now) ?? lines[0];
  return lines.find((l) => l.time > now) ?? lines[lines.length - 1];
}

/** The span that a line stands for; undefined for an instant and for a step that still runs. */
export function spanOf(line: Line): { from: Instant; to: Instant } | undefined {
  const to = line.kind === 'marker' ? line.marker.end : line.kind === 'comment' ? line.comment.end : undefined;
  return to ? { from: line.at, to } : undefined;
}

/** Case-clock time for people: 1:52, or 1:02:05 from an hour on; with tenths when asked. Rounded down: a clock. */
export function clockText(ms: number, tenths = false): string {
  const sign = ms < 0 ? '−' : '';
  const whole = Math.floor(Math.abs(ms) / 1000);
  const s = String(whole % 60).padStart(2, '0');
  const minutes = Math.floor(whole / 60);
  const rest = tenths ? `.${Math.floor((Math.abs(ms) % 1000) / 100)}` : '';
  if (minutes < 60) return `${sign}${minutes}:${s}${rest}`;
  return `${sign}${Math.floor(minutes / 60)}:${String(minutes % 60).padStart(2, '0')}:${s}${rest}`;
}

/** Media time to the millisecond: 2:31.480. */
export function exactText(ms: number): string {
  return `${clockText(ms)}.${String(Math.floor(ms % 1000)).padStart(3, '0')}`;
}
