import { describe, expect, it } from 'vitest';
import type { Edit } from '../api/types';
import { act, at, desk, sheet } from './desk.fixture';
import { isRefusal } from './history';
import { Journal } from './journal';
import { startStep } from './marking';
import { moveBoundary } from './shaping';

/** Plays edits into a journal as the server would number them. */
function journalOf(...edits: Edit[]): Journal {
  const journal = new Journal();
  journal.append(edits.map((e, i) => ({ ...e, seq: i + 1, authorId: e.authorId || 'me' })));
  return journal;
}

function marked() {
  const d = desk();
  const first = act(d, startStep(d, 'side-port', at(10)));
  const second = act(d, startStep(d, 'rhexis', at(20)));
  return { d, first, second };
}

describe('undo and redo', () => {
  it('take an edit back and bring it again, in both directions and after a reload', () => {
    const { d, first, second } = marked();
    const journal = journalOf(first, second);
    d.items = journal.view([]);
    const undone = journal.history('me', []).undo(d.items, 'u1');
    if (isRefusal(undone)) throw new Error(undone.refused);
    expect(undone).toMatchObject({ action: 'undo', undoes: second.id });
    journal.append([{ ...undone, seq: 3, authorId: 'me' }]);
    d.items = journal.view([]);
    expect(sheet(d)).toEqual(['side-port 10-']);

    const reloaded = journal.history('me', []);
    expect([reloaded.last, reloaded.canRedo]).toEqual([first.id, true]);
    const redone = reloaded.redo(d.items, 'r1');
    if (isRefusal(redone)) throw new Error(redone.refused);
    journal.append([{ ...redone, seq: 4, authorId: 'me' }]);
    d.items = journal.view([]);
    expect(sheet(d)).toEqual(['side-port 10-20', 'rhexis 20-']);
    expect(journal.history('me', []).canRedo).toBe(false);
  });

  it('is forgotten as redo once something new was done', () => {
    const { d, first, second } = marked();
    const journal = journalOf(first);
    const undone = journal.history('me', []).undo(journal.view([]), 'u1') as Edit;
    const history = journal.history('me', [undone, { ...second, authorId: '' }]);
    expect(history.canRedo).toBe(false);
    expect(sheet(d)).toHaveLength(2);
  });

  it('leaves the edits of others alone and refuses where they built on it', () => {
    const { d, first, second } = marked();
    const theirs = { ...act(d, moveBoundary(d, 'n1', 'end', at(15), true)), authorId: 'other' };
    const journal = journalOf(first, second, theirs);
    const history = journal.history('me', []);
    expect(history.last).toBe(second.id);
    expect(isRefusal(history.undo(journal.view([]), 'u1'))).toBe(true);
    expect(history.last).toBe(first.id);
  });
});
