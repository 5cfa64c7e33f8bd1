// What corrects a reading: boundaries, labels, splitting, merging and removing.
import type { Instant, Marker, StepListRef } from '../api/types';
import {
  type Answer,
  byFrames,
  type Desk,
  edit,
  exclusiveEpisodes,
  listOf,
  put,
  refuse,
  stepOf,
  take,
  timeOf,
} from './desk';

export type Side = 'start' | 'end';

function markerOf(desk: Desk, id: string): Marker | undefined {
  return desk.items.markers.get(id);
}

const gone = refuse('The marker is not there any more.');

/** The instant at one side of a marker; undefined for the end of a running one. */
export function boundary(marker: Marker, side: Side): Instant | undefined {
  return side === 'start' ? marker.start : (marker.end ?? undefined);
}

/** The exclusive marker that touches this one at a side, at the very same instant. */
export function neighbour(desk: Desk, marker: Marker, side: Side): Marker | undefined {
  const at = boundary(marker, side);
  if (!at || !(stepOf(desk, marker)?.exclusive ?? true)) return undefined;
  const other: Side = side === 'start' ? 'end' : 'start';
  for (const e of exclusiveEpisodes(desk)) {
    const theirs = boundary(e.marker, other);
    if (e.marker.id !== marker.id && theirs && theirs.part === at.part && theirs.ms === at.ms) return e.marker;
  }
  return undefined;
}

/**
 * Moves one boundary. A neighbour that touches it moves along unless alone is asked for. No marker is left shorter
 * than one frame.
 */
export function moveBoundary(desk: Desk, id: string, side: Side, to: Instant, alone = false): Answer {
  const marker = markerOf(desk, id);
  if (!marker) return gone;
  const touching = alone ? undefined : neighbour(desk, marker, side);
  const moved = [withBoundary(marker, side, to)];
  if (touching) moved.push(withBoundary(touching, side === 'start' ? 'end' : 'start', to));
  if (moved.some((m) => tooShort(desk, m))) {
    return refuse(
      'There is no room: a step must last at least one frame. Remove it, or move the other boundary first.',
    );
  }
  const before = boundary(marker, side);
  if (before && before.part === to.part && before.ms === to.ms) return refuse('The boundary is already there.');
  return edit(
    desk,
    'move',
    moved.map((m) => put(desk, 'marker', m)),
  );
}

function withBoundary(marker: Marker, side: Side, to: Instant): Marker {
  return side === 'start' ? { ...marker, start: to } : { ...marker, end: to };
}

function tooShort(desk: Desk, marker: Marker): boolean {
  if (!marker.end) return false;
  const least = timeOf(desk, byFrames(desk, marker.start, 1));
  const from = timeOf(desk, marker.start);
  return timeOf(desk, marker.end) < (least > from ? least : from + 1);
}

/** Moves one boundary by some frames. */
export function nudge(desk: Desk, id: string, side: Side, frames: number): Answer {
  const marker = markerOf(desk, id);
  if (!marker) return gone;
  const at = boundary(marker, side);
  if (!at) return refuse('The step is still running; it has no end to move.');
  return moveBoundary(desk, id, side, byFrames(desk, at, frames));
}

/** Gives a marker the length in ms of the case clock, by moving its end. */
export function setLength(desk: Desk, id: string, length: number): Answer {
  const marker = markerOf(desk, id);
  if (!marker) return gone;
  const end = desk.clock.media(timeOf(desk, marker.start) + length);
  if (!end) return refuse('That end would lie outside the recording.');
  return moveBoundary(desk, id, 'end', end);
}

/** Says that an episode is one of another step. */
export function relabel(desk: Desk, id: string, step: string, stepList: StepListRef): Answer {
  const marker = markerOf(desk, id);
  if (!marker) return gone;
  if (!listOf(desk, stepList)?.steps.some((s) => s.code === step)) return refuse('This step is not in the step list.');
  if (marker.step === step) return refuse('It is that step already.');
  return edit(desk, 'relabel', [put(desk, 'marker', { ...marker, step, stepList })]);
}

/** Says who operated during an episode. */
export function setOperator(desk: Desk, id: string, operatorId: string): Answer {
  const marker = markerOf(desk, id);
  if (!marker) return gone;
  if ((marker.operatorId ?? '') === operatorId) return refuse('This person is the operator already.');
  return edit(desk, 'operator', [put(desk, 'marker', { ...marker, operatorId })]);
}

/** Writes a note on an episode or an event; "" takes it away. */
export function setNote(desk: Desk, thing: 'marker' | 'event', id: string, note: string): Answer {
  const item = thing === 'marker' ? desk.items.markers.get(id) : desk.items.events.get(id);
  if (!item) return gone;
  return edit(desk, 'note', [put(desk, thing, { ...item, note })]);
}

/** Makes two episodes of one at an instant inside it. */
export function split(desk: Desk, id: string, at: Instant): Answer {
  const marker = markerOf(desk, id);
  if (!marker) return gone;
  const first = { ...marker, end: at };
  const second = { ...marker, id: desk.newId(), seq: 0, start: at };
  const now = timeOf(desk, at);
  const after = marker.end && timeOf(desk, marker.end) <= now;
  if (now <= timeOf(desk, marker.start) || after || tooShort(desk, first) || tooShort(desk, second)) {
    return refuse('Put the playhead inside the step to split it.');
  }
  return edit(desk, 'split', [put(desk, 'marker', first), put(desk, 'marker', second)]);
}

/** Joins an episode with the next one of the same step; the time between them then counts into it. */
export function mergeNext(desk: Desk, id: string): Answer {
  const marker = markerOf(desk, id);
  if (!marker) return gone;
  const from = timeOf(desk, marker.start);
  const next = exclusiveEpisodes(desk).find((e) => e.marker.step === marker.step && e.from > from);
  if (!next) return refuse('No later episode of the same step follows.');
  const merged = { ...marker, end: next.marker.end };
  return edit(desk, 'merge', [put(desk, 'marker', merged), take(desk, 'marker', next.marker.id)]);
}

/** Removes a marker or an event. */
export function removeItem(desk: Desk, thing: 'marker' | 'event', id: string): Answer {
  const there = thing === 'marker' ? desk.items.markers.has(id) : desk.items.events.has(id);
  return there ? edit(desk, 'remove', [take(desk, thing, id)]) : gone;
}

/** Moves an event or a comment to another instant; a comment on a span keeps its length as far as the part allows. */
export function moveInstant(desk: Desk, thing: 'event' | 'comment', id: string, to: Instant): Answer {
  if (thing === 'event') {
    const event = desk.items.events.get(id);
    return event ? edit(desk, 'move', [put(desk, 'event', { ...event, at: to })]) : gone;
  }
  const comment = desk.items.comments.get(id);
  if (!comment) return gone;
  const moved = { ...comment, at: to };
  if (comment.end && comment.end.part === comment.at.part) {
    const duration = desk.clock.part(to.part)?.duration ?? to.ms;
    moved.end = { part: to.part, ms: Math.min(duration, to.ms + comment.end.ms - comment.at.ms) };
  }
  return edit(desk, 'move', [put(desk, 'comment', moved)]);
}
