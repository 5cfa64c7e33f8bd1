// A question on its way: asked, under way, given up, answered.
import { asProblem, type Problem } from '../../lib/api/problem';
import { answerStudy, type Definition, type StudyAnswer } from '../../lib/api/study';

export class Asking {
  /** The last answer; it stays on the page while the next is worked out. */
  answer = $state.raw<StudyAnswer>();
  problem = $state.raw<Problem>();
  running = $state(false);
  /** The reader gave up the last question. */
  stopped = $state(false);
  /** How many of its exposures are done, once that is told. */
  progress = $state.raw<{ done: number; of: number }>();
  #cut = new AbortController();

  /** Asks; an earlier question that is still under way is given up. */
  async ask(definition: Definition): Promise<void> {
    this.#cut.abort();
    const mine = new AbortController();
    this.#cut = mine;
    this.running = true;
    this.stopped = false;
    this.problem = undefined;
    this.progress = undefined;
    try {
      this.answer = await answerStudy(definition, (done, of) => this.#tell(mine, done, of), mine.signal);
    } catch (thrown) {
      if (mine.signal.aborted) return;
      this.answer = undefined;
      this.problem = asProblem(thrown);
    }
    if (this.#cut === mine) this.running = false;
  }

  /** Gives up what is under way. */
  cancel(): void {
    this.#cut.abort();
    this.stopped = this.running;
    this.running = false;
    this.answer = undefined;
  }

  /** The page is left. */
  leave(): void {
    this.#cut.abort();
  }

  #tell(mine: AbortController, done: number, of: number): void {
    if (this.#cut === mine) this.progress = { done, of };
  }
}
