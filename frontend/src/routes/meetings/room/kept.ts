// What was written and has not reached the server is kept on this device, so that neither a lost network nor a reload loses it.

const prefix = 'zonule.meeting.';
type Store = Pick<Storage, 'getItem' | 'setItem' | 'removeItem'>;

/** The one thing that a person writes at one place, such as the record of an item. */
export class DeviceCopy<T> {
  readonly #key: string;
  readonly #store: Store;

  constructor(person: string, name: string, store: Store = localStorage) {
    this.#key = `${prefix}${person}.${name}`;
    this.#store = store;
  }

  /** What is kept; undefined when nothing is, or when it cannot be read. */
  read(): T | undefined {
    try {
      const text = this.#store.getItem(this.#key);
      return text === null ? undefined : (JSON.parse(text) as T);
    } catch {
      return undefined;
    }
  }

  /** Keeps it; false when the browser does not let us. */
  keep(value: T): boolean {
    try {
      this.#store.setItem(this.#key, JSON.stringify(value));
      return true;
    } catch {
      return false;
    }
  }

  /** It reached the server: nothing confidential stays behind. */
  drop(): void {
    try {
      this.#store.removeItem(this.#key);
    } catch {
      // A browser that keeps nothing has nothing to drop.
    }
  }
}
