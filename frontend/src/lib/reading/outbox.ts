import type { Edit, EditAnswer } from '../api/types';
import { nextBatch, rebase } from './batch';
import type { Keeper, Waiting } from './kept';

/** How sending failed: again later, somebody else changed the item, or the server will not have it. */
export type Failure =
  | { kind: 'passing'; offline: boolean; message: string }
  | { kind: 'stale'; message: string }
  | { kind: 'refused'; message: string };

/** The way to the server. A failure is given, not thrown. */
export type Send = (edits: readonly Edit[]) => Promise<{ answers: EditAnswer[] } | { failure: Failure }>;

/** What the outbox needs from around it. */
export interface Around {
  keeper: Keeper;
  send: Send;
  /** Calls back after some ms; gives what takes it back. */
  later: (ms: number, action: () => void) => () => void;
  /** Edits that the server has, with their answers, in order. */
  acknowledged: (edits: readonly Edit[], answers: readonly EditAnswer[]) => void;
  changed: () => void;
  /** The name of this page among the pages of this browser. */
  page: string;
}

export type OutboxState = 'saved' | 'sending' | 'waiting' | 'offline' | 'stopped';

const firstPause = 1000;
const longestPause = 30_000;

/**
 * Unsent edits of one person in one reading. They are kept first and then sent in order, in small batches, again and
 * again until the server has them. What the server will not have stops the outbox until a person decides.
 */
export class Outbox {
  private entries: Waiting[] = [];
  private sending = false;
  private pause = 0;
  private cancel: (() => void) | undefined;
  private single = false;
  private readonly around: Around;
  private readonly person: string;
  private readonly readingId: string;
  private keeping: Promise<void> = Promise.resolve();
  /** The browser could not keep an edit: it would be lost with this page. */
  keepingFailed = false;
  /** Why sending has stopped or pauses. */
  failure: Failure | undefined;

  constructor(person: string, readingId: string, around: Around) {
    this.person = person;
    this.readingId = readingId;
    this.around = around;
  }

  /** Takes over what earlier pages have left. isGone tells whether the page that made an edit is closed. */
  async open(isGone: (page: string) => boolean): Promise<void> {
    const kept = await this.around.keeper.read(this.person, this.readingId);
    const mine = kept.filter((w) => w.page === this.around.page || isGone(w.page));
    this.entries = [...mine.map((w) => ({ ...w, page: this.around.page })), ...this.entries];
    await this.around.keeper.update(this.entries, []);
    this.around.changed();
    this.flush();
  }

  /** What the server does not have yet, in order. */
  get waiting(): readonly Waiting[] {
    return this.entries;
  }

  get state(): OutboxState {
    if (this.entries.length === 0) return 'saved';
    if (this.failure?.kind === 'passing') return this.failure.offline ? 'offline' : 'waiting';
    return this.failure ? 'stopped' : 'sending';
  }

  /** Keeps an edit and sends it as soon as may be. */
  add(edit: Edit): void {
    const order = (this.entries[this.entries.length - 1]?.order ?? 0) + 1;
    const entry: Waiting = { order, readingId: this.readingId, person: this.person, page: this.around.page, edit };
    this.entries.push(entry);
    this.keep(() => this.around.keeper.add(entry));
    this.around.changed();
    if (!this.failure) this.flush();
  }

  /** Sends now what waits: the network is back, or a person asked for it. */
  retry(): void {
    if (this.failure?.kind === 'stale') return;
    this.failure = undefined;
    this.flush();
  }

  /** Puts changed edits in place of those with the same id, drops others, and goes on sending. */
  resolve(replace: readonly Edit[], drop: ReadonlySet<string>): void {
    const replaced = new Map(replace.map((e) => [e.id, e]));
    const gone = this.entries.filter((w) => drop.has(w.edit.id));
    this.entries = this.entries
      .filter((w) => !drop.has(w.edit.id))
      .map((w) => ({ ...w, edit: replaced.get(w.edit.id) ?? w.edit }));
    const changed = this.entries.filter((w) => replaced.has(w.edit.id));
    this.keep(() => this.around.keeper.update(changed, gone));
    this.failure = undefined;
    this.around.changed();
    this.flush();
  }

  private keep(action: () => Promise<void>): void {
    this.keeping = this.keeping.then(action).catch(() => {
      this.keepingFailed = true;
      this.around.changed();
    });
  }

  private flush(): void {
    this.cancel?.();
    this.cancel = undefined;
    if (!this.sending && this.entries.length > 0) void this.run();
  }

  private async run(): Promise<void> {
    this.sending = true;
    while (this.entries.length > 0 && !this.failure) {
      const batch = nextBatch(this.entries, this.single ? 1 : undefined);
      // Kept before it is sent, so that a page that dies in between loses nothing.
      await this.keeping;
      const edits = batch.map((w) => w.edit);
      const answer = await this.around.send(edits);
      if ('failure' in answer) this.failed(answer.failure, batch.length);
      else this.done(edits, answer.answers);
    }
    this.sending = false;
    this.around.changed();
  }

  private done(edits: readonly Edit[], answers: readonly EditAnswer[]): void {
    this.pause = 0;
    this.single = false;
    const sent = this.entries.filter((w) => edits.some((e) => e.id === w.edit.id));
    const rest = this.entries.filter((w) => !sent.includes(w));
    const rebased = rebase(edits, answers, rest);
    this.entries = rest.map((w) => rebased.find((r) => r.edit.id === w.edit.id) ?? w);
    this.keep(() => this.around.keeper.update(rebased, sent));
    this.around.acknowledged(edits, answers);
    this.around.changed();
  }

  private failed(failure: Failure, size: number): void {
    // A batch is refused as a whole: alone, each edit shows whether it is the one.
    if (failure.kind !== 'passing' && size > 1) {
      this.single = true;
      return;
    }
    this.failure = failure;
    if (failure.kind === 'passing') {
      this.pause = this.pause === 0 ? firstPause : Math.min(longestPause, this.pause * 2);
      this.cancel = this.around.later(this.pause, () => this.retry());
    }
    this.around.changed();
  }
}
