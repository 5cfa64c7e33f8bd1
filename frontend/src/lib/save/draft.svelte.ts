// A thing being typed: what is on the screen, what the server has, and the saving between the two.
import { asProblem, type Problem } from '../api/problem';
import { type SaveEvent, type SaveState, start, step } from './autosave';
import { differences, same } from './differences';

export interface DraftOptions<T> {
  send: (value: T) => Promise<T>;
  /** Whether there is enough to send; until then nothing is. */
  ready?: (value: T) => boolean;
  /** Called with the server's version after each save. */
  saved?: (value: T) => void;
}

export interface Conflict<T> {
  yours: T;
  theirs: T;
}

export class Draft<T extends { revision: number }> {
  /** What is on the screen. */
  value: T = $state() as T;
  /** What the server has. */
  stored: T = $state.raw() as T;
  state = $state.raw<SaveState>(start);
  problem = $state.raw<Problem>();
  conflict = $state.raw<Conflict<T>>();

  #options: DraftOptions<T>;
  #timer: ReturnType<typeof setTimeout> | undefined;
  #seen: T;
  #stop: () => void;

  constructor(value: T, options: DraftOptions<T>) {
    this.#options = options;
    this.value = structuredClone(value);
    this.stored = value;
    this.#seen = value;
    this.#stop = $effect.root(() => {
      $effect(() => this.#watch($state.snapshot(this.value) as T));
    });
  }

  /** Whether anything typed is not at the server yet. */
  get unsaved(): boolean {
    return this.state.phase !== 'saved' || !same(this.value, this.stored);
  }

  /** Something typed is stuck: it will not be sent without the person. */
  get stuck(): boolean {
    if (this.state.phase === 'refused' || this.state.phase === 'conflict') return true;
    return this.state.phase === 'saved' && !same(this.value, this.stored);
  }

  /** The message for a field, from the last refusal. */
  at(field: string): string {
    return this.problem?.at(field) ?? '';
  }

  /** Sends now what waits, such as when the person leaves the field or the page. */
  flush(): void {
    this.#watch($state.snapshot(this.value) as T);
    this.#happen('flush');
  }

  /** Settles a conflict with a version made of both; it goes over theirs. */
  settle(chosen: T): void {
    if (!this.conflict) return;
    const { theirs } = this.conflict;
    this.value = { ...structuredClone(chosen), revision: theirs.revision };
    this.#seen = $state.snapshot(this.value) as T;
    this.stored = theirs;
    this.conflict = undefined;
    this.problem = undefined;
    this.#happen(same(chosen, theirs) ? 'taken' : 'chosen');
  }

  /** Takes over a version that was read again, unless something typed waits. */
  renew(value: T): void {
    if (this.unsaved) return;
    this.#adopt(value);
  }

  /** Sends what waits and stops watching. */
  end(): void {
    this.flush();
    this.#stop();
  }

  /** Stops watching and sends nothing more. */
  discard(): void {
    clearTimeout(this.#timer);
    this.#stop();
  }

  #watch(now: T): void {
    if (same(now, this.#seen)) return;
    this.#seen = now;
    if (this.#options.ready && !this.#options.ready(now)) return;
    this.#happen('edited');
  }

  #adopt(value: T): void {
    this.stored = value;
    this.value = structuredClone(value);
    this.#seen = value;
  }

  #happen(event: SaveEvent): void {
    const [next, effect] = step(this.state, event);
    this.state = next;
    if (effect === 'none') return;
    clearTimeout(this.#timer);
    if (effect === 'send') void this.#send();
    else this.#timer = setTimeout(() => this.#happen('due'), effect.wait);
  }

  async #send(): Promise<void> {
    const sent = $state.snapshot(this.value) as T;
    try {
      const answer = await this.#options.send(sent);
      this.problem = undefined;
      if (this.state.more) {
        // Typed on meanwhile: only what the server counts is taken over, the rest is what is on the screen.
        this.stored = answer;
        this.value.revision = answer.revision;
        this.#seen = { ...this.#seen, revision: answer.revision };
      } else this.#adopt(answer);
      this.#happen('done');
      this.#options.saved?.(answer);
    } catch (thrown) {
      this.#fail(asProblem(thrown));
    }
  }

  #fail(problem: Problem): void {
    this.problem = problem;
    if (problem.code === 'stale' && problem.theirs) {
      const conflict = { yours: $state.snapshot(this.value) as T, theirs: problem.theirs as T };
      this.#happen('stale');
      this.conflict = conflict;
      // The answer to an earlier try was lost on the way: both hold the same, and there is nothing to choose.
      if (differences(conflict.yours, conflict.theirs).length === 0) this.settle(conflict.theirs);
    } else this.#happen(problem.passing || problem.code === 'signed-out' ? 'failed' : 'refused');
  }
}
