import { episodesOf, type Pace, progressIn, type Stretch, sharedSteps, speedsOf, stretchOf } from '../../lib/pair/pair';
import { type Episode, episodes } from '../../lib/reading/desk';
import type { Tagging } from '../operation/tagging.svelte';

/** One of the two recordings, and which episode of the step is looked at. */
export class Side {
  readonly t: Tagging;
  readonly episodes: readonly Episode[];
  readonly chosen: number;

  constructor(t: Tagging, step: string, chosen: number) {
    this.t = t;
    this.episodes = episodesOf(episodes(t.desk), step);
    this.chosen = Math.min(Math.max(0, chosen), Math.max(0, this.episodes.length - 1));
  }

  get stretch(): Stretch | undefined {
    return stretchOf(this.t.film.parts, this.episodes[this.chosen]);
  }

  /** Length on the case clock, ms: the real time of the episode, whatever the film does with it. */
  get realTime(): number | undefined {
    const episode = this.episodes[this.chosen];
    return episode ? episode.to - episode.from : undefined;
  }
}

/** Two recordings that run together through the same step. */
export class Duet {
  readonly a: Side;
  readonly b: Side;
  pace = $state<Pace>('own');
  speed = $state(1);
  loop = $state(false);
  /** Which of them has come to the end of its stretch. */
  private done = $state({ a: false, b: false });
  running = $state(false);

  readonly speeds = $derived.by(() =>
    speedsOf(this.pace, this.speed, this.a.stretch?.length ?? 0, this.b.stretch?.length ?? 0),
  );
  readonly progress = $derived.by(() => ({ a: progressOf(this.a), b: progressOf(this.b) }));

  constructor(a: Side, b: Side) {
    this.a = a;
    this.b = b;
  }

  /** The codes of the steps that can be looked at, in the order of the first recording. */
  static steps(a: Tagging, b: Tagging): string[] {
    return sharedSteps(episodes(a.desk), episodes(b.desk));
  }

  /** Puts both at the first frame of their step. */
  toStart(): void {
    this.done = { a: false, b: false };
    for (const side of [this.a, this.b]) if (side.stretch) side.t.film.seek(side.stretch.from);
  }

  toggle(): void {
    if (this.running) this.pause();
    else this.play();
  }

  play(): void {
    if (this.done.a && this.done.b) this.toStart();
    this.running = true;
    this.paced();
    if (!this.done.a) this.a.t.film.play();
    if (!this.done.b) this.b.t.film.play();
  }

  pause(): void {
    this.running = false;
    this.a.t.film.pause();
    this.b.t.film.pause();
  }

  /** Gives both films the speed that the pace asks for. */
  paced(): void {
    this.a.t.film.setSpeed(this.speeds.a);
    this.b.t.film.setSpeed(this.speeds.b);
  }

  /** To be called at each frame: stops a film at the end of its step, and goes round when both are there. */
  passed(): void {
    if (!this.running) return;
    const { a, b } = this.progress;
    const done = { a: this.done.a || a >= 1, b: this.done.b || b >= 1 };
    if (done.a && !this.done.a) this.a.t.film.pause();
    if (done.b && !this.done.b) this.b.t.film.pause();
    if (done.a !== this.done.a || done.b !== this.done.b) this.done = done;
    if (!done.a || !done.b) return;
    if (!this.loop) {
      this.running = false;
      return;
    }
    this.toStart();
    this.play();
  }
}

function progressOf(side: Side): number {
  const { stretch } = side;
  const at = side.t.position;
  return stretch && at ? progressIn(side.t.film.parts, stretch, at) : 0;
}
