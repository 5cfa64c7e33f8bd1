import type { Change, Edit } from '../api/types';
import { changeTo, find, type Items, inverse, sameItem, valueOf } from './items';

/** One thing that a person did, with what it did to each item. */
interface Deed {
  id: string;
  action: string;
  before: Change[];
  after: Change[];
}

/** Why nothing was done, in words for a person. */
export interface Refusal {
  refused: string;
}

/** Whether a command refused. */
export function isRefusal(answer: object): answer is Refusal {
  return 'refused' in answer;
}

/**
 * What one person may undo and redo. It is built from the journal, so that it is the same after the page was loaded
 * again; what other people did is left alone.
 */
export class History {
  private readonly person: string;
  private done: Deed[] = [];
  private undone: Deed[] = [];

  constructor(person: string) {
    this.person = person;
  }

  /** Notes an edit; call it with the items as they are before the edit is folded in. */
  note(items: Items, edit: Edit): void {
    if (edit.authorId !== '' && edit.authorId !== this.person) return;
    if (edit.action === 'undo' && edit.undoes) this.move(edit.undoes, 'done', 'undone');
    else if (edit.action === 'redo' && edit.undoes) this.move(edit.undoes, 'undone', 'done');
    else {
      this.done.push({ id: edit.id, action: edit.action, before: inverse(items, edit), after: edit.changes });
      this.undone = [];
    }
  }

  private move(id: string, from: 'done' | 'undone', to: 'done' | 'undone'): void {
    const at = this[from].findLastIndex((d) => d.id === id);
    if (at >= 0) this[to].push(...this[from].splice(at, 1));
  }

  /** The edit that undo would take back, if any. */
  get last(): string | undefined {
    return this.done[this.done.length - 1]?.id;
  }

  get canUndo(): boolean {
    return this.done.length > 0;
  }

  get canRedo(): boolean {
    return this.undone.length > 0;
  }

  /** The edit that takes the last deed back. A deed that somebody has built on is dropped and said so. */
  undo(items: Items, id: string): Edit | Refusal {
    const deed = this.done[this.done.length - 1];
    if (!deed) return { refused: 'There is nothing to undo.' };
    const edit = turn(items, deed.after, deed.before, { id, action: 'undo', undoes: deed.id });
    if (isRefusal(edit)) this.done.pop();
    return edit;
  }

  /** The edit that brings back what undo took away. */
  redo(items: Items, id: string): Edit | Refusal {
    const deed = this.undone[this.undone.length - 1];
    if (!deed) return { refused: 'There is nothing to redo.' };
    const edit = turn(items, deed.before, deed.after, { id, action: 'redo', undoes: deed.id });
    if (isRefusal(edit)) this.undone.pop();
    return edit;
  }
}

function turn(
  items: Items,
  from: readonly Change[],
  to: readonly Change[],
  head: { id: string; action: 'undo' | 'redo'; undoes: string },
): Edit | Refusal {
  const changes: Change[] = [];
  for (let i = 0; i < from.length; i++) {
    const was = from[i] as Change;
    const will = to[i] as Change;
    const now = find(items, was.thing, was.id);
    if (!sameItem(now, valueOf(was))) {
      return { refused: 'It was changed again since, by you elsewhere or by somebody else; nothing was done.' };
    }
    changes.push(changeTo(will.thing, will.id, now?.seq ?? 0, valueOf(will)));
  }
  return { ...head, changes, seq: 0, authorId: '', madeAt: 0 };
}
