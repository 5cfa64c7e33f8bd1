import type { Acceptance, Change, Comment, Edit, Marker, ReadingEvent, Thing } from '../api/types';

/** Everything that a reading holds, by id. */
export interface Items {
  markers: Map<string, Marker>;
  events: Map<string, ReadingEvent>;
  comments: Map<string, Comment>;
  acceptances: Map<string, Acceptance>;
}

/** One item of any kind. */
export type Item = Marker | ReadingEvent | Comment | Acceptance;

/** A reading without anything in it. */
export function emptyItems(): Items {
  return { markers: new Map(), events: new Map(), comments: new Map(), acceptances: new Map() };
}

/** A copy that can be changed on its own; the items themselves are never changed in place. */
export function copyItems(items: Items): Items {
  return {
    markers: new Map(items.markers),
    events: new Map(items.events),
    comments: new Map(items.comments),
    acceptances: new Map(items.acceptances),
  };
}

function shelf(items: Items, thing: Thing): Map<string, Item> {
  const shelves: Record<Thing, Map<string, Item>> = {
    marker: items.markers as Map<string, Item>,
    event: items.events as Map<string, Item>,
    comment: items.comments as Map<string, Item>,
    acceptance: items.acceptances as Map<string, Item>,
  };
  return shelves[thing];
}

/** The item as it is now; undefined when there is none. */
export function find(items: Items, thing: Thing, id: string): Item | undefined {
  return shelf(items, thing).get(id);
}

/** The new value that a change brings; undefined when it removes the item. */
export function valueOf(change: Change): Item | undefined {
  return change.marker ?? change.event ?? change.comment ?? change.acceptance;
}

/** A change that gives one item a value, or removes it, built on the version that was seen. */
export function changeTo(thing: Thing, id: string, base: number, value: Item | undefined): Change {
  const change: Change = { thing, id, base };
  if (!value) return change;
  switch (thing) {
    case 'marker':
      return { ...change, marker: value as Marker };
    case 'event':
      return { ...change, event: value as ReadingEvent };
    case 'comment':
      return { ...change, comment: value as Comment };
    case 'acceptance':
      return { ...change, acceptance: value as Acceptance };
  }
}

/** Folds one edit into the items, which it changes. An edit that the server has not numbered yet keeps the old number. */
export function fold(items: Items, edit: Edit): void {
  for (const change of edit.changes) {
    const things = shelf(items, change.thing);
    const value = valueOf(change);
    if (value) things.set(change.id, { ...value, seq: edit.seq || (things.get(change.id)?.seq ?? 0) });
    else things.delete(change.id);
  }
}

/** The changes that would take an edit back, for the items as they were before it. */
export function inverse(items: Items, edit: Edit): Change[] {
  return edit.changes.map((c) => changeTo(c.thing, c.id, 0, find(items, c.thing, c.id)));
}

// Set by the server, so that they do not tell two versions apart.
const setByServer = new Set(['seq', 'authorId', 'madeAt']);

/** Whether two versions of an item say the same. Absent, null and "" are alike. */
export function sameItem(a: Item | undefined, b: Item | undefined): boolean {
  return a === b || plain(a) === plain(b);
}

function plain(value: unknown): string {
  return JSON.stringify(value, (key, v: unknown) => {
    if (setByServer.has(key) || v === null || v === '') return undefined;
    if (typeof v !== 'object' || Array.isArray(v)) return v;
    return Object.fromEntries(Object.entries(v as object).sort(([x], [y]) => (x < y ? -1 : 1)));
  });
}
