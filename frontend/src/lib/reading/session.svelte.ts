import { asProblem } from '../api/problem';
import { addEdits, editsAfter } from '../api/reading';
import type { Edit, EditAnswer, Reading } from '../api/types';
import { buildingOn } from './batch';
import { agrees, type Clash, clashes, onTopOf } from './conflict';
import { type History, isRefusal, type Refusal } from './history';
import { copyItems, emptyItems, fold, type Items } from './items';
import { Journal } from './journal';
import { forgetfulKeeper, type Keeper } from './kept';
import { type Failure, Outbox, type Send } from './outbox';
import { closedPages, pageName } from './pages';

/** What stands between the person and the server, for the page to show. */
export interface Trouble {
  kind: 'conflict' | 'refused';
  edit: Edit;
  message: string;
  clashes: Clash[];
  /** Later unsent edits that build on this one. */
  dependants: number;
}

/** How saving stands. */
export interface Saving {
  state: Outbox['state'];
  unsaved: number;
  /** The browser keeps unsent edits over a reload. */
  kept: boolean;
  message: string;
}

const pollEvery = 20_000;

/** One reading open on the page: what the person sees, what is sent, and what may be undone. */
export class ReadingSession {
  reading: Reading;
  private readonly person: string;
  private readonly journal = new Journal();
  private readonly outbox: Outbox;
  private past: History;

  items = $state.raw<Items>(emptyItems());
  saving = $state.raw<Saving>({ state: 'saved', unsaved: 0, kept: true, message: '' });
  trouble = $state.raw<Trouble>();
  canUndo = $state(false);
  canRedo = $state(false);

  constructor(reading: Reading, person: string, keeper: Keeper | undefined) {
    this.reading = reading;
    this.person = person;
    this.outbox = new Outbox(person, reading.id, {
      keeper: keeper ?? forgetfulKeeper(),
      send: sender(reading.id),
      later: (ms, action) => {
        const timer = setTimeout(action, ms);
        return () => clearTimeout(timer);
      },
      acknowledged: (edits, answers) => this.acknowledged(edits, answers),
      changed: () => this.outboxChanged(),
      page: pageName,
    });
    this.outbox.keepingFailed = keeper === undefined;
    this.past = this.journal.history(person, []);
  }

  /** Reads the journal and takes over what an earlier page left unsent. */
  async open(): Promise<void> {
    this.journal.append(await fetchAfter(this.reading.id, 0));
    addEventListener('online', () => this.outbox.retry());
    await this.outbox.open(await closedPages()).catch(() => {
      this.outbox.keepingFailed = true;
    });
    this.rebuild();
  }

  /** Takes what the server says of the reading now: another step list, or that it is the accepted one. */
  renewed(reading: Reading): this {
    this.reading = reading;
    return this;
  }

  /** Keeps up with what others do while the reading is on the screen. The answer stops it; sending goes on. */
  watch(): () => void {
    void this.poll();
    const timer = setInterval(() => void this.poll(), pollEvery);
    return () => clearInterval(timer);
  }

  /** Records an edit at once; the server learns of it when it can. Gives the refusal, if it is one. */
  act(answer: Edit | Refusal): Refusal | undefined {
    if (isRefusal(answer)) return answer;
    this.past.note(this.items, answer);
    const items = copyItems(this.items);
    fold(items, answer);
    this.items = items;
    this.outbox.add(answer);
    this.showPast();
    return undefined;
  }

  /** Takes back the last thing that this person did; gives the refusal, if it cannot be. */
  undo(newId: string): Refusal | undefined {
    const refusal = this.act(this.past.undo(this.items, newId));
    this.showPast();
    return refusal;
  }

  redo(newId: string): Refusal | undefined {
    const refusal = this.act(this.past.redo(this.items, newId));
    this.showPast();
    return refusal;
  }

  /** The id of the edit that undo would take back. */
  get lastEdit(): string | undefined {
    return this.past.last;
  }

  retry(): void {
    this.outbox.retry();
  }

  /** Sends once more what the server has refused. */
  tryAgain(): void {
    const trouble = this.trouble;
    this.trouble = undefined;
    if (this.outbox.failure?.kind !== 'stale') this.outbox.retry();
    else if (trouble) void this.showConflict(trouble.edit, trouble.message, true);
  }

  /** Settles a conflict for the person's own version, on top of what the server has now. */
  keepMine(): void {
    if (!this.trouble) return;
    const edit = onTopOf(this.journal.server, this.trouble.edit);
    this.resolve(edit ? [edit] : [], edit ? [] : [this.trouble.edit.id]);
  }

  /** Gives up the edit in question, and those that build on it. */
  discard(): void {
    if (!this.trouble) return;
    const dropped = buildingOn(this.outbox.waiting, this.trouble.edit.id).map((w) => w.edit.id);
    this.resolve([], dropped);
  }

  private resolve(replace: Edit[], drop: string[]): void {
    this.trouble = undefined;
    this.outbox.resolve(replace, new Set(drop));
    this.rebuild();
  }

  private unsent(): Edit[] {
    return this.outbox.waiting.map((w) => w.edit);
  }

  private rebuild(): void {
    this.items = this.journal.view(this.unsent());
    this.past = this.journal.history(this.person, this.unsent());
    this.showPast();
  }

  private showPast(): void {
    this.canUndo = this.past.canUndo;
    this.canRedo = this.past.canRedo;
  }

  private acknowledged(edits: readonly Edit[], answers: readonly EditAnswer[]): void {
    const before = this.journal.seq;
    const complete = this.journal.acknowledge(edits, answers, this.person, Date.now());
    this.items = this.journal.view(this.unsent());
    if (!complete) void this.catchUp(before).catch(() => {});
  }

  private async catchUp(after: number): Promise<void> {
    const edits = await fetchAfter(this.reading.id, after);
    if (edits.length === 0) return;
    this.journal.append(edits);
    this.rebuild();
  }

  private async poll(): Promise<void> {
    if (document.hidden || this.outbox.state !== 'saved') return;
    // A failed look costs nothing: the next one comes soon, and sending has its own way to tell.
    await this.catchUp(this.journal.seq).catch(() => {});
  }

  private outboxChanged(): void {
    const { state, failure, keepingFailed, waiting } = this.outbox;
    this.saving = { state, unsaved: waiting.length, kept: !keepingFailed, message: failure?.message ?? '' };
    const first = waiting[0]?.edit;
    if (state !== 'stopped' || !first || !failure || this.trouble?.edit.id === first.id) return;
    if (failure.kind === 'stale') void this.showConflict(first, failure.message);
    else this.trouble = this.troubleOf('refused', first, failure.message, []);
  }

  private async showConflict(edit: Edit, message: string, again = false): Promise<void> {
    try {
      await this.catchUp(this.journal.seq);
    } catch (thrown) {
      this.trouble = this.troubleOf('refused', edit, asProblem(thrown).message, []);
      return;
    }
    const found = clashes(this.journal.server, edit);
    const open = found.filter((c) => !agrees(c));
    this.trouble = this.troubleOf(open.length > 0 ? 'conflict' : 'refused', edit, message, open);
    // Both did the same, or the person asked to send it once more: there is nothing to choose.
    if (open.length === 0 && (found.length > 0 || again)) this.keepMine();
  }

  private troubleOf(kind: Trouble['kind'], edit: Edit, message: string, open: Clash[]): Trouble {
    return { kind, edit, message, clashes: open, dependants: buildingOn(this.outbox.waiting, edit.id).length - 1 };
  }
}

async function fetchAfter(readingId: string, after: number): Promise<Edit[]> {
  const all: Edit[] = [];
  for (let from = after; ; ) {
    const { edits } = await editsAfter(readingId, from);
    const last = edits?.[edits.length - 1];
    if (!last || last.seq <= from) return all;
    all.push(...edits);
    from = last.seq;
  }
}

function sender(readingId: string): Send {
  return async (edits) => {
    try {
      return { answers: (await addEdits(readingId, [...edits])).answers };
    } catch (thrown) {
      return { failure: failureOf(thrown) };
    }
  };
}

function failureOf(thrown: unknown): Failure {
  const problem = asProblem(thrown);
  const message = [problem.message, ...problem.fields.map((f) => f.message)]
    .filter((m, i, all) => !all.slice(0, i).some((earlier) => earlier.includes(m)))
    .join(' ');
  if (problem.code === 'stale') return { kind: 'stale', message };
  if (problem.passing || problem.code === 'signed-out') {
    // A gateway that finds nobody behind it is as good as no network.
    const offline = problem.status === 0 || (problem.status >= 502 && problem.status <= 504);
    return { kind: 'passing', offline, message };
  }
  return { kind: 'refused', message };
}
