// What is written beside the steps: events, conversions, comments with their threads, and accepted warnings.
import type { Comment, Instant, Shape, StepListRef } from '../api/types';
import { type Answer, type Desk, edit, listAt, listOf, put, refuse, take } from './desk';

/** The kind of event at which one technique gives way to another. */
export const conversion = 'conversion';

/** The longest comment, and the longest reason, in characters. */
export const commentLimit = 4000;
export const reasonLimit = 1000;

/** Records an event at an instant. A conversion names the step list that is in use from there on. */
export function addEvent(desk: Desk, kind: string, at: Instant, stepList?: StepListRef): Answer {
  const list = listOf(desk, listAt(desk, at));
  if (!list?.eventKinds.some((k) => k.code === kind)) return refuse('This event is not in the step list in use here.');
  if (kind === conversion && !stepList) return refuse('Choose the step list that is used from here on.');
  const event = { id: desk.newId(), seq: 0, kind, at, ...(stepList ? { stepList } : {}) };
  return edit(desk, 'add', [put(desk, 'event', event)]);
}

function tooLong(text: string, limit: number): string {
  return `At most ${limit} characters can be kept; this has ${text.length}.`;
}

/** What a new comment says, and where. */
export interface CommentDraft {
  at: Instant;
  end?: Instant;
  text: string;
  shape?: Shape;
  replyTo?: string;
}

/** Writes a comment or a reply. */
export function addComment(desk: Desk, draft: CommentDraft): Answer {
  const text = draft.text.trim();
  if (text === '') return refuse('Write something first.');
  if (text.length > commentLimit) return refuse(tooLong(text, commentLimit));
  const comment: Comment = {
    ...draft,
    text,
    id: desk.newId(),
    seq: 0,
    authorId: desk.person,
    madeAt: desk.now(),
    settled: false,
  };
  return edit(desk, 'comment', [put(desk, 'comment', comment)]);
}

/** Changes the words of one's own comment. */
export function rewrite(desk: Desk, id: string, text: string): Answer {
  const comment = desk.items.comments.get(id);
  if (!comment) return refuse('The comment is not there any more.');
  if (comment.authorId !== desk.person) return refuse('Only its author can change a comment; write a reply instead.');
  if (text.trim() === '') return refuse('Write something first, or remove the comment.');
  if (text.trim().length > commentLimit) return refuse(tooLong(text.trim(), commentLimit));
  return edit(desk, 'comment', [put(desk, 'comment', { ...comment, text: text.trim() })]);
}

/** Settles a thread or opens it again. */
export function settle(desk: Desk, id: string, settled: boolean): Answer {
  const comment = desk.items.comments.get(id);
  if (!comment) return refuse('The comment is not there any more.');
  return edit(desk, 'settle', [put(desk, 'comment', { ...comment, settled })]);
}

/** Says why a warning stands. */
export function acceptWarning(desk: Desk, key: string, reason: string): Answer {
  const text = reason.trim();
  if (text === '') return refuse('Say why the warning can stand.');
  if (text.length > reasonLimit) return refuse(tooLong(text, reasonLimit));
  return edit(desk, 'accept-warning', [
    put(desk, 'acceptance', { id: key, seq: 0, reason: text, authorId: desk.person }),
  ]);
}

/** Takes an acceptance back, so that the warning counts again. */
export function withdrawAcceptance(desk: Desk, key: string): Answer {
  return edit(desk, 'accept-warning', [take(desk, 'acceptance', key)]);
}

/** Removes one's own comment, as long as nobody has answered it. */
export function removeComment(desk: Desk, id: string): Answer {
  const comment = desk.items.comments.get(id);
  if (!comment) return refuse('The comment is not there any more.');
  if (comment.authorId !== desk.person) return refuse('Only its author may remove a comment; you may settle it.');
  for (const c of desk.items.comments.values()) {
    if (c.replyTo === id) return refuse('The comment was answered; settle it instead.');
  }
  return edit(desk, 'remove', [take(desk, 'comment', id)]);
}
