import type { Edit, EditAnswer } from '../api/types';
import { History } from './history';
import { copyItems, emptyItems, fold, type Items } from './items';

/** The journal of a reading as far as this page knows it, and its fold. */
export class Journal {
  private edits: Edit[] = [];
  /** What the server has. */
  server: Items = emptyItems();

  /** The number of the newest edit; 0 when there is none. */
  get seq(): number {
    return this.edits[this.edits.length - 1]?.seq ?? 0;
  }

  /** Takes in edits of the server, in order; those that are known already are folded again without harm. */
  append(edits: readonly Edit[]): void {
    const known = new Set(this.edits.map((e) => e.id));
    for (const edit of edits) {
      fold(this.server, edit);
      if (!known.has(edit.id)) this.edits.push(edit);
    }
    this.edits.sort((a, b) => a.seq - b.seq);
  }

  /** Takes in what the server answered; false when it has other edits too, which must be fetched after the given seq. */
  acknowledge(edits: readonly Edit[], answers: readonly EditAnswer[], person: string, now: number): boolean {
    let next = this.seq + 1;
    const numbered = edits.map((edit) => {
      const seq = answers.find((a) => a.id === edit.id)?.seq ?? 0;
      return { ...edit, seq, authorId: person, madeAt: now };
    });
    const complete = numbered.every((e) => e.seq === next++);
    if (complete) this.append(numbered);
    else for (const edit of numbered) fold(this.server, edit);
    return complete;
  }

  /** What the person sees: the fold of the journal and of what is not sent yet. */
  view(unsent: readonly Edit[]): Items {
    const items = copyItems(this.server);
    for (const edit of unsent) fold(items, edit);
    return items;
  }

  /** What the person may undo and redo. */
  history(person: string, unsent: readonly Edit[]): History {
    const history = new History(person);
    const items = emptyItems();
    for (const edit of [...this.edits, ...unsent]) {
      history.note(items, edit);
      fold(items, edit);
    }
    return history;
  }
}
