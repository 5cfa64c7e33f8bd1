import { describe, expect, it } from 'vitest';
import { act, at, desk } from './desk.fixture';
import { isRefusal } from './history';
import { startStep } from './marking';
import { acceptWarning, addComment, addEvent, removeComment, rewrite, settle, withdrawAcceptance } from './noting';
import { type Line, linesOf, reuse } from './sheet';

describe('comments', () => {
  it('are answered, settled, rewritten by their author, and removed while unanswered', () => {
    const d = desk();
    const opened = act(d, addComment(d, { at: at(10), text: ' look here ' })).changes[0]?.id as string;
    expect(d.items.comments.get(opened)?.text).toBe('look here');
    act(d, rewrite(d, opened, 'look there'));
    act(d, settle(d, opened, true));
    const reply = act(d, addComment(d, { at: at(10), text: 'seen', replyTo: opened })).changes[0]?.id as string;
    expect(removeComment(d, opened)).toEqual({ refused: 'The comment was answered; settle it instead.' });
    act(d, removeComment(d, reply));
    act(d, removeComment(d, opened));
    expect(d.items.comments.size).toBe(0);
  });

  it('of others are not rewritten or removed, and empty or endless ones are refused', () => {
    const d = desk();
    const id = act(d, addComment(d, { at: at(10), text: 'mine' })).changes[0]?.id as string;
    const other = { ...d, person: 'other' };
    expect([rewrite(other, id, 'no'), removeComment(other, id)].every(isRefusal)).toBe(true);
    expect(
      [addComment(d, { at: at(1), text: ' ' }), addComment(d, { at: at(1), text: 'x'.repeat(4001) })].every(isRefusal),
    ).toBe(true);
  });
});

describe('events and warnings', () => {
  it('a conversion needs the list that is used from there on', () => {
    const d = desk();
    expect(isRefusal(addEvent(d, 'conversion', at(10)))).toBe(true);
    expect(isRefusal(addEvent(d, 'unheard-of', at(10)))).toBe(true);
  });

  it('a warning is accepted with a reason, and that is taken back', () => {
    const d = desk();
    expect(isRefusal(acceptWarning(d, 'no-end:m1', ' '))).toBe(true);
    act(d, acceptWarning(d, 'no-end:m1', 'the film stops here'));
    expect(d.items.acceptances.get('no-end:m1')?.reason).toBe('the film stops here');
    act(d, withdrawAcceptance(d, 'no-end:m1'));
    expect(d.items.acceptances.size).toBe(0);
  });
});

describe('the running sheet', () => {
  it('is in the order of the case clock, what happened below its step, replies in their thread', () => {
    const d = desk();
    act(d, startStep(d, 'rhexis', at(5, 'B')));
    act(d, startStep(d, 'side-port', at(10)));
    act(d, addEvent(d, 'view-lost', at(10)));
    const opened = act(d, addComment(d, { at: at(10), text: 'first' })).changes[0]?.id as string;
    act(d, addComment(d, { at: at(10), text: 'second', replyTo: opened }));
    const complication = { id: 'c1', caseId: 'k', revision: 1, kind: 'iris-trauma', severity: 1, at: at(10) };
    const lines = linesOf(d, [], [complication, { ...complication, id: 'c2', at: undefined }], (code) => `the ${code}`);
    expect(lines.map((l) => l.kind)).toEqual(['marker', 'event', 'complication', 'comment', 'marker']);
    expect(lines[3]).toMatchObject({ comment: { text: 'first' }, replies: [{ text: 'second' }] });
    expect(lines[2]).toMatchObject({ name: 'the iris-trauma' });
  });

  it('keeps the lines that say the same as they are', () => {
    const d = desk();
    const known = new Map<string, Line>();
    act(d, startStep(d, 'side-port', at(10)));
    act(d, startStep(d, 'rhexis', at(20)));
    const first = reuse(linesOf(d, [], [], String), known);
    act(d, startStep(d, 'removal', at(30)));
    const second = reuse(linesOf(d, [], [], String), known);
    expect([second[0] === first[0], second[1] === first[1], second.length]).toEqual([true, false, 3]);
  });
});
