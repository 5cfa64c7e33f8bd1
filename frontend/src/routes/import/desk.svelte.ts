// One import as the page works on it: batch after batch, until it is done or somebody stops it.
import * as api from '../../lib/api/intake';
import { asProblem, type Problem } from '../../lib/api/problem';

export class Desk {
  intake = $state.raw<api.Intake>();
  rows = $state.raw<api.IntakeRow[]>([]);
  fields = $state.raw<api.IntakeField[]>([]);
  verdict = $state<api.Verdict | ''>('');
  /** There may be rows after those shown. */
  more = $state(false);
  busy = $state(false);
  problem = $state.raw<Problem>();
  /** What was being done when it failed. */
  doing = $state('');
  /** The whole file is being written in one go. */
  whole = $state(false);
  #stopped = false;
  #cut = new AbortController();

  /** Reads an import that was begun before. */
  open = (id: string) => this.#do('The import could not be read', async () => this.#show(id));

  /** Sends a file and checks its rows; gives the id of the import. */
  async upload(file: File, sheet = ''): Promise<string> {
    await this.#do('The file was not read', async () => {
      this.intake = await api.beginImport(file, sheet);
      await this.#check();
    });
    return this.intake?.id ?? '';
  }

  match = (matching: api.IntakeMatching) =>
    this.#do('The columns were not matched', async () => {
      if (!this.intake) return;
      this.intake = await api.putMatching(this.intake.id, matching);
      await this.#check();
    });

  /** Goes on with what was stopped. */
  resume = () => this.#do('The rows were not checked', () => this.#check());

  /** Writes the accepted rows, batch after batch. */
  apply = () =>
    this.#do('The rows were not written', async () => {
      this.#stopped = false;
      do {
        if (!this.intake) return;
        this.intake = await api.applyImport(this.intake.id);
      } while (this.intake.state === 'applying' && !this.#stopped);
      await this.#show(this.intake.id);
    });

  /** Writes all rows, or none. */
  applyWhole = () =>
    this.#do('The rows were not written', async () => {
      if (!this.intake) return;
      this.#cut = new AbortController();
      this.whole = true;
      try {
        this.intake = await api.applyWholeImport(this.intake.id, this.#cut.signal);
      } catch (thrown) {
        if (!this.#cut.signal.aborted) throw thrown;
      } finally {
        this.whole = false;
      }
      await this.#show(this.intake.id);
    });

  /** Stops after the batch that is under way; a whole file is given up. */
  stop(): void {
    this.#stopped = true;
    this.#cut.abort();
  }

  cancel = () =>
    this.#do('The import was not cancelled', async () => {
      if (!this.intake) return;
      this.intake = await api.cancelImport(this.intake.id);
      await this.#show(this.intake.id);
    });

  narrow = (verdict: api.Verdict | '') =>
    this.#do('The rows could not be read', async () => {
      this.verdict = verdict;
      if (this.intake) await this.#show(this.intake.id);
    });

  readOn = () =>
    this.#do('The rows could not be read', async () => {
      const last = this.rows.at(-1);
      if (!this.intake || !last) return;
      const page = await api.importById(this.intake.id, this.verdict, last.number);
      this.rows = [...this.rows, ...page.rows];
      this.more = page.rows.length === 50;
    });

  async #check(): Promise<void> {
    this.#stopped = false;
    while (this.intake?.state === 'checking' && !this.#stopped) this.intake = await api.checkImport(this.intake.id);
    if (this.intake) await this.#show(this.intake.id);
  }

  async #show(id: string): Promise<void> {
    const page = await api.importById(id, this.verdict);
    this.intake = page.import;
    this.rows = page.rows;
    this.fields = page.fields;
    this.more = page.rows.length === 50;
  }

  async #do(doing: string, work: () => Promise<void>): Promise<void> {
    this.busy = true;
    this.problem = undefined;
    this.doing = doing;
    try {
      await work();
    } catch (thrown) {
      this.problem = asProblem(thrown);
    } finally {
      this.busy = false;
    }
  }
}
