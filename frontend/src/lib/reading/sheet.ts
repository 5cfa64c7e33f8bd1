// The running sheet: the reading as lines of an operation note, in the order of the case clock.
import type { Comment, Complication, Instant, Marker, ReadingEvent, Step } from '../api/types';
import type { MarkFigure } from '../timeline/result';
import { type Desk, listAt, listOf, stepOf, timeOf } from './desk';

interface LineBase {
  id: string;
  at: Instant;
  /** Case clock; Infinity for a place outside the recording. */
  time: number;
}
export interface StepLine extends LineBase {
  kind: 'marker';
  marker: Marker;
  step: Step | undefined;
  name: string;
  /** ms, null while it runs; bound says that it is at least this. */
  length: number | null;
  bound: boolean;
}
export interface EventLine extends LineBase {
  kind: 'event';
  event: ReadingEvent;
  name: string;
}
export interface CommentLine extends LineBase {
  kind: 'comment';
  comment: Comment;
  replies: readonly Comment[];
}
export interface ComplicationLine extends LineBase {
  kind: 'complication';
  complication: Complication;
  name: string;
}
export type Line = StepLine | EventLine | CommentLine | ComplicationLine;

// At one instant the step comes first, then what happened in it.
const rank = { marker: 0, event: 1, complication: 2, comment: 3 } as const;

/** Every line, by time. Complications without an instant have none. */
export function linesOf(
  desk: Desk,
  figures: readonly MarkFigure[],
  complications: readonly Complication[],
  kindName: (code: string) => string,
): Line[] {
  const lines: Line[] = [];
  const byId = new Map(figures.map((f) => [f.id, f]));
  for (const marker of desk.items.markers.values()) lines.push(stepLine(desk, marker, byId.get(marker.id)));
  for (const event of desk.items.events.values()) {
    const list = listOf(desk, listAt(desk, event.at));
    const name = list?.eventKinds.find((k) => k.code === event.kind)?.name ?? event.kind;
    lines.push({ kind: 'event', id: event.id, at: event.at, time: timeOf(desk, event.at), event, name });
  }
  lines.push(...threads(desk));
  for (const complication of complications) {
    const { id, at, kind } = complication;
    if (at) lines.push({ kind: 'complication', id, at, time: timeOf(desk, at), complication, name: kindName(kind) });
  }
  return lines.sort(
    (a, b) => compare(a.time, b.time) || rank[a.kind] - rank[b.kind] || (a.id < b.id ? -1 : a.id > b.id ? 1 : 0),
  );
}

// Two places outside the recording are alike; their difference would be no number.
function compare(a: number, b: number): number {
  return a === b ? 0 : a - b;
}

function stepLine(desk: Desk, marker: Marker, figure: MarkFigure | undefined): StepLine {
  const step = stepOf(desk, marker);
  return {
    kind: 'marker',
    id: marker.id,
    at: marker.start,
    time: timeOf(desk, marker.start),
    marker,
    step,
    name: step?.name ?? marker.step,
    length: figure?.total ?? null,
    bound: figure?.quality === 'lower-bound',
  };
}

function threads(desk: Desk): CommentLine[] {
  const replies = new Map<string, Comment[]>();
  const openers: Comment[] = [];
  for (const comment of desk.items.comments.values()) {
    if (!comment.replyTo) openers.push(comment);
    else replies.set(comment.replyTo, [...(replies.get(comment.replyTo) ?? []), comment]);
  }
  return openers.map((comment) => {
    const thread = (replies.get(comment.id) ?? []).sort((a, b) => a.madeAt - b.madeAt || (a.id < b.id ? -1 : 1));
    return {
      kind: 'comment',
      id: comment.id,
      at: comment.at,
      time: timeOf(desk, comment.at),
      comment,
      replies: thread,
    };
  });
}

/**
 * The lines with those that say the same as before as the same objects, so that only what changed is drawn again.
 * It keeps what it gave in known.
 */
export function reuse(lines: readonly Line[], known: Map<string, Line>): Line[] {
  const reused = lines.map((line) => {
    const before = known.get(`${line.kind} ${line.id}`);
    return before && sameFields(before, line) ? before : line;
  });
  known.clear();
  for (const line of reused) known.set(`${line.kind} ${line.id}`, line);
  return reused;
}

function sameFields(a: Line, b: Line): boolean {
  const [left, right] = [a as unknown as Record<string, unknown>, b as unknown as Record<string, unknown>];
  return Object.keys(right).every((key) => {
    const [x, y] = [left[key], right[key]];
    if (Array.isArray(x) && Array.isArray(y)) return x.length === y.length && x.every((e, i) => e === y[i]);
    return x === y;
  });
}
