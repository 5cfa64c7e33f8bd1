import { type DBSchema, type IDBPDatabase, openDB } from 'idb';
import type { Edit } from '../api/types';

/** An edit that the server has not acknowledged yet. */
export interface Waiting {
  /** Order in which the edits were made on this computer. */
  order: number;
  readingId: string;
  person: string;
  /** The page that made it; when that page is gone, another one sends it. */
  page: string;
  edit: Edit;
}

/** Where unsent edits are kept over a reload. */
export interface Keeper {
  /** The unsent edits of one person in one reading, in order. */
  read(person: string, readingId: string): Promise<Waiting[]>;
  /** The readings in which the person has unsent edits. */
  readings(person: string): Promise<string[]>;
  add(waiting: Waiting): Promise<void>;
  /** Replaces some and drops others, all or nothing. */
  update(put: readonly Waiting[], drop: readonly Waiting[]): Promise<void>;
}

interface Schema extends DBSchema {
  waiting: { key: string; value: Waiting; indexes: { reading: [string, string] } };
}

/** Keeps unsent edits in the browser's database. Throws when the browser has none or refuses it. */
export async function openKeeper(name = 'zonule'): Promise<Keeper> {
  const database: IDBPDatabase<Schema> = await openDB<Schema>(name, 1, {
    upgrade(db) {
      const store = db.createObjectStore('waiting', { keyPath: 'edit.id' });
      store.createIndex('reading', ['person', 'readingId']);
    },
    // Another page of this browser with a newer version of Zonule must be able to upgrade.
    blocking: () => database.close(),
  });
  return {
    async read(person, readingId) {
      const all = await database.getAllFromIndex('waiting', 'reading', [person, readingId]);
      return all.sort((a, b) => a.order - b.order);
    },
    async readings(person) {
      const all = await database.getAll('waiting');
      return [...new Set(all.filter((w) => w.person === person).map((w) => w.readingId))];
    },
    async add(waiting) {
      await database.put('waiting', waiting);
    },
    async update(put, drop) {
      const change = database.transaction('waiting', 'readwrite');
      await Promise.all([
        ...put.map((w) => change.store.put(w)),
        ...drop.map((w) => change.store.delete(w.edit.id)),
        change.done,
      ]);
    },
  };
}

/** Keeps nothing beyond this page: what is left when the browser offers no database. */
export function forgetfulKeeper(): Keeper {
  return { read: async () => [], readings: async () => [], add: async () => {}, update: async () => {} };
}
