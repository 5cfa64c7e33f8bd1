// Reading again after changes, without a request for each: only the answer to the last call counts.

export class Latest<T> {
  readonly #read: (signal: AbortSignal) => Promise<T>;
  readonly #took: (value: T) => void;
  readonly #rest: number;
  #timer: ReturnType<typeof setTimeout> | undefined;
  #under: AbortController | undefined;

  /** rest is how long a call waits for a further one, ms. A failed reading leaves what was read before. */
  constructor(read: (signal: AbortSignal) => Promise<T>, took: (value: T) => void, rest = 300) {
    this.#read = read;
    this.#took = took;
    this.#rest = rest;
  }

  /** Reads after a short rest; what is under way already is overtaken. */
  ask(): void {
    clearTimeout(this.#timer);
    this.#timer = setTimeout(() => void this.now(), this.#rest);
  }

  /** Reads at once. */
  async now(): Promise<void> {
    this.end();
    const under = new AbortController();
    this.#under = under;
    try {
      const value = await this.#read(under.signal);
      if (!under.signal.aborted) this.#took(value);
    } catch {
      // The next change asks again.
    }
  }

  end(): void {
    clearTimeout(this.#timer);
    this.#under?.abort();
  }
}
