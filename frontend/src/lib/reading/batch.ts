import type { Edit, EditAnswer } from '../api/types';
import { valueOf } from './items';
import type { Waiting } from './kept';

/** The most edits that are sent at once. */
export const batchLimit = 50;

const itemsOf = (edit: Edit) => edit.changes.map((c) => `${c.thing} ${c.id}`);

/**
 * The edits to send next: from the front, as long as none touches an item that an earlier one of them has touched,
 * because its base is known only from the answer to that one.
 */
export function nextBatch(waiting: readonly Waiting[], limit = batchLimit): Waiting[] {
  const touched = new Set<string>();
  const batch: Waiting[] = [];
  for (const w of waiting.slice(0, limit)) {
    const items = itemsOf(w.edit);
    if (items.some((i) => touched.has(i))) break;
    for (const i of items) touched.add(i);
    batch.push(w);
  }
  return batch;
}

/** Gives each waiting edit the base that an answered one has made, for the items that it is the next to touch. */
export function rebase(answered: readonly Edit[], answers: readonly EditAnswer[], rest: readonly Waiting[]): Waiting[] {
  const bases = new Map<string, number>();
  for (const edit of answered) {
    const seq = answers.find((a) => a.id === edit.id)?.seq ?? edit.seq;
    for (const c of edit.changes) bases.set(`${c.thing} ${c.id}`, valueOf(c) ? seq : 0);
  }
  const changed: Waiting[] = [];
  for (const w of rest) {
    let touched = false;
    const changes = w.edit.changes.map((c) => {
      const item = `${c.thing} ${c.id}`;
      const base = bases.get(item);
      if (base === undefined) return c;
      bases.delete(item);
      touched = true;
      return { ...c, base };
    });
    if (touched) changed.push({ ...w, edit: { ...w.edit, changes } });
  }
  return changed;
}

/** The edit and every later one that builds on it: they touch the same items, directly or through each other. */
export function buildingOn(waiting: readonly Waiting[], editId: string): Waiting[] {
  const from = waiting.findIndex((w) => w.edit.id === editId);
  if (from < 0) return [];
  const touched = new Set<string>();
  return waiting.slice(from).filter((w, i) => {
    const items = itemsOf(w.edit);
    const builds = i === 0 || items.some((item) => touched.has(item));
    if (builds) for (const item of items) touched.add(item);
    return builds;
  });
}
