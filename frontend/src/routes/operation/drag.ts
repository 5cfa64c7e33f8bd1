// What dragging on the detail line does to the picture while the pointer is down, and to the reading when it is let go.
import type { Instant } from '../../lib/api/types';
import { type Answer, type Desk, timeOf } from '../../lib/reading/desk';
import { moveBoundary, moveInstant, neighbour } from '../../lib/reading/shaping';
import { frameAt, frameStart, known } from '../../lib/timeline/frame';
import { type Handle, nearestInstant, type Picture, snap } from './picture';

/** A handle on its way. */
export interface Drag {
  handle: Handle;
  to: Instant;
  time: number;
  /** The neighbour that touches stays where it is. */
  alone: boolean;
}

/** Where a handle goes for a pointer at a case-clock time: on what is near, and always on the start of a frame. */
export function dragTo(
  desk: Desk,
  picture: Picture,
  handle: Handle,
  ms: number,
  how: { playhead: number; reach: number; alone: boolean },
): Drag | undefined {
  const { start, end } = picture.extent;
  const snapped = snap(picture, how.playhead, Math.min(Math.max(ms, start), end), how.reach, handle.id);
  const instant = snapped >= end ? lastInstant(desk) : nearestInstant(desk.clock, snapped);
  if (!instant) return undefined;
  const to = onFrame(desk, instant);
  return { handle, to, time: timeOf(desk, to), alone: how.alone };
}

function lastInstant(desk: Desk): Instant | undefined {
  const part = desk.clock.parts[desk.clock.parts.length - 1];
  return part && { part: part.id, ms: part.duration };
}

/** The start of the frame that is on the screen at an instant; the very end of a part stays. */
export function onFrame(desk: Desk, at: Instant): Instant {
  const rate = desk.rate(at.part);
  if (!known(rate) || at.ms === desk.clock.part(at.part)?.duration) return at;
  return { part: at.part, ms: frameStart(rate, frameAt(rate, at.ms)) };
}

/** The picture with the handle where it is now. */
export function withDrag(desk: Desk, picture: Picture, drag: Drag | undefined): Picture {
  if (!drag) return picture;
  const { handle, time } = drag;
  if (handle.what !== 'boundary') {
    return { ...picture, signs: picture.signs.map((s) => (s.id === handle.id ? { ...s, at: time } : s)) };
  }
  const marker = desk.items.markers.get(handle.id);
  const touching = marker && !drag.alone ? neighbour(desk, marker, handle.side) : undefined;
  const bars = picture.bars.map((b) => {
    if (b.id === handle.id) return handle.side === 'start' ? { ...b, from: time } : { ...b, to: time };
    if (b.id === touching?.id) return handle.side === 'start' ? { ...b, to: time } : { ...b, from: time };
    return b;
  });
  return { ...picture, bars };
}

/** What letting go does. */
export function dropped(desk: Desk, drag: Drag): Answer {
  const { handle, to } = drag;
  if (handle.what === 'boundary') return moveBoundary(desk, handle.id, handle.side, to, drag.alone);
  return moveInstant(desk, handle.what, handle.id, to);
}
