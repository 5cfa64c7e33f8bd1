import type { Change, Edit } from '../api/types';
import { find, type Item, type Items, sameItem, valueOf } from './items';

/** One item that somebody else has changed since the edit was made. */
export interface Clash {
  change: Change;
  /** Undefined: the edit removes it. */
  mine: Item | undefined;
  /** As the server has it now; undefined: it was removed there. */
  theirs: Item | undefined;
}

/** The changes of an edit that were built on a version which the server no longer has. */
export function clashes(server: Items, edit: Edit): Clash[] {
  return edit.changes.flatMap((change) => {
    const theirs = find(server, change.thing, change.id);
    if ((theirs?.seq ?? 0) === change.base) return [];
    return [{ change, mine: valueOf(change), theirs }];
  });
}

/** Whether both sides ended at the same, so that nobody has to choose. */
export function agrees(clash: Clash): boolean {
  return sameItem(clash.mine, clash.theirs);
}

/** The edit built on what the server has now, without the changes that are already so there; undefined: nothing is left. */
export function onTopOf(server: Items, edit: Edit): Edit | undefined {
  const changes = edit.changes.flatMap((change) => {
    const theirs = find(server, change.thing, change.id);
    const base = theirs?.seq ?? 0;
    return base !== change.base && sameItem(valueOf(change), theirs) ? [] : [{ ...change, base }];
  });
  return changes.length > 0 ? { ...edit, changes } : undefined;
}
