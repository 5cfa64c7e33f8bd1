// What the two time lines show, and what lies under the pointer. Pure: places in ms of the case clock and pixels.
import type { Instant, StepList } from '../../lib/api/types';
import type { Side } from '../../lib/reading/shaping';
import type { Line } from '../../lib/reading/sheet';
import type { CaseClock } from '../../lib/timeline/clock';
import type { Span } from '../../lib/timeline/span';

/** One episode as a bar. */
export interface Bar {
  id: string;
  from: number;
  /** The end; of a running step the farthest that it can reach: the next step, or the end of the recording. */
  to: number;
  open: boolean;
  exclusive: boolean;
  name: string;
  stage: string;
}

/** An event, comment or complication as a sign. */
export interface Sign {
  id: string;
  kind: 'event' | 'comment' | 'complication';
  at: number;
  /** The end of a comment on a span. */
  to?: number;
  /** A settled comment is drawn faint. */
  faint: boolean;
  /** The digit of the event. */
  letter: string;
}

/** Everything that the time lines draw. */
export interface Picture {
  extent: Span;
  bars: readonly Bar[];
  signs: readonly Sign[];
  gaps: readonly Span[];
  /** Where parts begin, but for the first. */
  joints: readonly { at: number; name: string }[];
  stages: readonly string[];
}

/** Lays the lines of the running sheet out on the case clock. */
export function pictureOf(lines: readonly Line[], clock: CaseClock, list: StepList | undefined): Picture {
  const extent = clock.extent();
  const inside = lines.filter((l) => Number.isFinite(l.time));
  const bars = inside.flatMap((l): Bar[] => {
    if (l.kind !== 'marker') return [];
    const to = l.marker.end ? clock.caseTime(l.marker.end) : undefined;
    const { step, name } = l;
    const exclusive = step?.exclusive ?? true;
    return [
      {
        id: l.id,
        from: l.time,
        to: to ?? extent.end,
        open: to === undefined,
        exclusive,
        name,
        stage: step?.stage ?? '',
      },
    ];
  });
  shortenOpen(bars);
  const letters = new Map(list?.eventKinds.map((k) => [k.code, k.key]));
  const signs = inside.flatMap((l): Sign[] => {
    if (l.kind === 'marker') return [];
    const end = l.kind === 'comment' && l.comment.end ? clock.caseTime(l.comment.end) : undefined;
    const faint = l.kind === 'comment' && l.comment.settled;
    const letter = l.kind === 'event' ? (letters.get(l.event.kind) ?? '') : '';
    return [{ id: l.id, kind: l.kind, at: l.time, to: end, faint, letter }];
  });
  const joints = clock.parts.slice(1).map((p) => ({ at: p.span.start, name: p.name }));
  return { extent, bars, signs, gaps: clock.gaps(), joints, stages: list?.stages.map((s) => s.code) ?? [] };
}

/** A running exclusive step ends at the latest where the next one begins. */
function shortenOpen(bars: Bar[]): void {
  let next = Number.POSITIVE_INFINITY;
  for (const bar of bars.toReversed()) {
    if (!bar.exclusive) continue;
    if (bar.open && next < bar.to) bar.to = next;
    next = Math.min(next, bar.from);
  }
}

/** Where a bar is drawn to: a running step as far as the playhead has come. */
export function shownEnd(bar: Bar, playhead: number): number {
  return bar.open ? Math.min(Math.max(playhead, bar.from), bar.to) : bar.to;
}

/** A window of the case clock on a width of pixels. */
export interface View extends Span {
  width: number;
}

export function xOf(view: View, ms: number): number {
  return ((ms - view.start) / (view.end - view.start)) * view.width;
}

export function msAt(view: View, x: number): number {
  return view.start + (x / view.width) * (view.end - view.start);
}

/** The lanes of the detail line, in pixels from its top. */
export const lanes = { ruler: 0, steps: 18, beside: 56, notes: 72, height: 98 } as const;

/** What can be dragged. */
export type Handle =
  | { what: 'boundary'; id: string; side: Side; at: number }
  | { what: 'event' | 'comment'; id: string; at: number };

/** The handle nearest to a point, within reach; undefined when there is none. */
export function handleAt(picture: Picture, view: View, x: number, y: number, reach: number): Handle | undefined {
  let best: Handle | undefined;
  let least = reach + 1;
  const offer = (handle: Handle) => {
    const distance = Math.abs(xOf(view, handle.at) - x);
    if (distance < least) [best, least] = [handle, distance];
  };
  if (y >= lanes.notes) {
    for (const s of picture.signs) if (s.kind !== 'complication') offer({ what: s.kind, id: s.id, at: s.at });
    return best;
  }
  const beside = y >= lanes.beside;
  for (const bar of picture.bars) {
    if (bar.exclusive === beside || y < lanes.steps) continue;
    // On the shared boundary of two steps the inner side decides which marker is taken; both move together.
    offer({ what: 'boundary', id: bar.id, side: 'start', at: bar.from });
    if (!bar.open) offer({ what: 'boundary', id: bar.id, side: 'end', at: bar.to });
  }
  return best;
}

/** The bar or sign under a point; undefined when there is none. */
export function thingAt(
  picture: Picture,
  view: View,
  playhead: number,
  x: number,
  y: number,
): { kind: Line['kind']; id: string } | undefined {
  if (y >= lanes.notes) {
    const sign = picture.signs.findLast((s) => Math.abs(xOf(view, s.at) - x) <= 9);
    return sign && { kind: sign.kind, id: sign.id };
  }
  if (y < lanes.steps) return undefined;
  const ms = msAt(view, x);
  const bar = picture.bars.findLast(
    (b) => b.exclusive === y < lanes.beside && b.from <= ms && ms < shownEnd(b, playhead),
  );
  return bar && { kind: 'marker', id: bar.id };
}

/** The nearest boundary, sign or the playhead within reach of a case-clock time; else the time itself. */
export function snap(picture: Picture, playhead: number, ms: number, reach: number, not: string): number {
  let best = ms;
  let least = reach;
  const offer = (at: number) => {
    const distance = Math.abs(at - ms);
    if (distance < least) [best, least] = [at, distance];
  };
  offer(playhead);
  for (const bar of picture.bars) {
    if (bar.id === not) continue;
    offer(bar.from);
    if (!bar.open) offer(bar.to);
  }
  for (const sign of picture.signs) if (sign.id !== not) offer(sign.at);
  return best;
}

/** The instant of a case-clock time; in a gap the nearest recorded one. */
export function nearestInstant(clock: CaseClock, ms: number): Instant | undefined {
  const direct = clock.media(ms);
  if (direct || clock.parts.length === 0) return direct;
  const ends = clock.parts.flatMap((p) => [
    { at: p.span.start, instant: { part: p.id, ms: 0 } },
    { at: p.span.end, instant: { part: p.id, ms: p.duration } },
  ]);
  return ends.reduce((a, b) => (Math.abs(b.at - ms) < Math.abs(a.at - ms) ? b : a)).instant;
}

/** The window of the detail line: it stays until the playhead comes near its edge, and then moves on. */
export function follow(window: Span, extent: Span, playhead: number): Span {
  const length = window.end - window.start;
  if (playhead >= window.start + length * 0.08 && playhead <= window.end - length * 0.08) return window;
  const before = playhead > window.end - length * 0.08 ? 0.15 : playhead < window.start ? 0.5 : 0.85;
  const start = Math.max(extent.start - length * 0.1, Math.min(playhead - length * before, extent.end - length * 0.9));
  return Math.abs(start - window.start) < 1 ? window : { start, end: start + length };
}
