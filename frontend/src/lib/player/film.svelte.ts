import type { Instant } from '../timeline/clock';
import { frameAt, frameStart, known } from '../timeline/frame';
import {
  errorWords,
  type FilmPart,
  frameMs,
  lastFrame,
  noPictureWords,
  positionMs,
  seekFor,
  type Video,
} from './media';

/** The speeds that slower and faster go through. */
export const speeds: readonly number[] = [0.25, 0.5, 0.75, 1, 1.5, 2, 3, 4];

// Time before the end of a part, in seconds of watching, from which the next one is loaded.
const loadAhead = 20;
// A frame told longer ago than this, in ms of media at normal speed, is not what is on the screen now.
const frameTooOld = 250;
// The old frame may be told once more after a seek; without news of the new one it is taken as shown after this many ms.
const seekSettles = 250;

/** Plays the parts of a recording as one film: a position in a part, frames, speed and a loop. */
export class Film {
  readonly parts: readonly FilmPart[];
  private readonly videos: (Video | undefined)[];
  /** Where a seek is going, until its frame is on the screen. */
  private target: { seconds: number; ms: number } | undefined;
  private queued = false;
  private settling: ReturnType<typeof setTimeout> | undefined;
  private wanted = false;

  /** Index of the part on the screen. */
  active = $state(0);
  /** Media ms of the frame on the screen. */
  ms = $state(0);
  playing = $state(false);
  speed = $state(1);
  muted = $state(false);
  /** The browser is loading what should be on the screen. */
  waiting = $state(false);
  loop = $state.raw<{ from: Instant; to: Instant }>();
  private problems = $state.raw<readonly string[]>([]);

  constructor(parts: readonly FilmPart[]) {
    this.parts = parts;
    this.videos = parts.map(() => undefined);
    this.problems = parts.map((p) => p.unusable);
  }

  /** Why the part on the screen cannot be seen, in words; "" when it can. */
  get problem(): string {
    return this.problems[this.active] ?? '';
  }

  /** The part on the screen; undefined for a film without parts. */
  get part(): FilmPart | undefined {
    return this.parts[this.active];
  }

  /** Gives the element that shows a part; the answer takes it back. */
  attach(index: number, video: Video): () => void {
    const part = this.parts[index] as FilmPart;
    this.videos[index] = video;
    const on: [string, () => void][] = [
      ['loadedmetadata', () => this.loaded(index, video)],
      ['seeked', () => this.seeked(index)],
      ['ended', () => this.ended(index)],
      ['error', () => this.tell(index, errorWords(part, video.error?.code ?? 4))],
      ['waiting', () => this.setWaiting(index, true)],
      ['playing', () => this.setWaiting(index, false)],
      ['canplay', () => this.setWaiting(index, false)],
      ['pause', () => this.stopped(index)],
      ['timeupdate', () => this.timeUpdate(index, video)],
    ];
    for (const [name, listen] of on) video.addEventListener(name, listen);
    this.watchFrames(index, video);
    if (index === this.active) this.load(index);
    return () => {
      for (const [name, listen] of on) video.removeEventListener(name, listen);
      video.pause();
      this.videos[index] = undefined;
    };
  }

  /** The instant of the frame that the person sees now: what a marker is made with. Undefined without a recording. */
  now(): Instant | undefined {
    const part = this.part;
    if (!part) return undefined;
    const video = this.videos[this.active];
    if (video && this.playing && !this.target && !video.ended) {
      const ms = positionMs(part, video.currentTime);
      if (Math.abs(ms - this.ms) > frameTooOld * Math.max(1, this.speed)) return { part: part.id, ms };
    }
    return { part: part.id, ms: this.ms };
  }

  /** Goes to an instant; an unknown part is left out. Outside the loop, the loop ends. */
  seek(to: Instant): void {
    const index = this.parts.findIndex((p) => p.id === to.part);
    const part = this.parts[index];
    if (!part) return;
    if (this.loop && !this.inLoop(index, to.ms)) this.loop = undefined;
    this.show(index);
    // The settling of an earlier seek must not end this one: a late old frame would then take the playhead back.
    clearTimeout(this.settling);
    this.target = seekFor(part, to.ms);
    this.ms = this.target.ms;
    this.aim();
  }

  /** Steps by frames; pauses first. Goes over the boundary of two parts. */
  step(frames: number): void {
    this.pause();
    const part = this.part;
    if (!part) return;
    if (!known(part.rate)) return this.jump(frames * 40);
    const frame = frameAt(part.rate, this.ms) + frames;
    if (frame >= 0 && frame <= lastFrame(part)) return this.seek({ part: part.id, ms: frameStart(part.rate, frame) });
    const next = this.parts[this.active + Math.sign(frames)];
    if (next) this.seek({ part: next.id, ms: frames > 0 ? 0 : next.duration });
    else this.seek({ part: part.id, ms: frames > 0 ? part.duration : 0 });
  }

  /** Goes on or back by media ms, over the boundaries of parts. */
  jump(by: number): void {
    let index = this.active;
    let ms = this.ms + by;
    while (ms < 0 && index > 0) ms += (this.parts[--index] as FilmPart).duration;
    while (ms >= (this.parts[index]?.duration ?? Infinity) && index < this.parts.length - 1) {
      ms -= (this.parts[index++] as FilmPart).duration;
    }
    const part = this.parts[index];
    if (part) this.seek({ part: part.id, ms });
  }

  toggle(): void {
    if (this.wanted) this.pause();
    else this.play();
  }

  play(): void {
    if (!this.part || this.problem) return;
    const last = this.active === this.parts.length - 1;
    if (last && this.ms >= seekFor(this.part, this.part.duration).ms)
      this.seek({ part: this.parts[0]?.id ?? '', ms: 0 });
    this.wanted = true;
    this.start();
  }

  pause(): void {
    this.wanted = false;
    this.playing = false;
    this.videos[this.active]?.pause();
  }

  setSpeed(speed: number): void {
    this.speed = Math.min(Math.max(speed, speeds[0] as number), speeds[speeds.length - 1] as number);
    const video = this.videos[this.active];
    if (video) video.playbackRate = this.speed;
  }

  /** One speed slower (-1) or faster (1). */
  shift(by: 1 | -1): void {
    const at = by > 0 ? speeds.find((s) => s > this.speed) : speeds.findLast((s) => s < this.speed);
    this.setSpeed(at ?? this.speed);
  }

  setMuted(muted: boolean): void {
    this.muted = muted;
    for (const video of this.videos) if (video) video.muted = muted;
  }

  /** Plays a span again and again, or no longer. */
  setLoop(loop: { from: Instant; to: Instant } | undefined): void {
    this.loop = loop;
    if (!loop) return;
    const index = this.parts.findIndex((p) => p.id === this.part?.id);
    if (!this.inLoop(index, this.ms)) this.seek(loop.from);
    this.play();
  }

  /** Loads the part on the screen again after a failure. */
  reload(): void {
    const video = this.videos[this.active];
    this.tell(this.active, this.part?.unusable ?? '');
    if (!video || this.problem || !this.part) return;
    this.target = seekFor(this.part, this.ms);
    video.load();
  }

  private inLoop(index: number, ms: number): boolean {
    if (!this.loop) return true;
    const order = (at: Instant) => this.parts.findIndex((p) => p.id === at.part);
    const afterStart = index > order(this.loop.from) || (index === order(this.loop.from) && ms >= this.loop.from.ms);
    const beforeEnd = index < order(this.loop.to) || (index === order(this.loop.to) && ms < this.loop.to.ms);
    return afterStart && beforeEnd;
  }

  private show(index: number): void {
    if (index === this.active) return;
    this.videos[this.active]?.pause();
    this.active = index;
    this.target = undefined;
    this.waiting = false;
    this.load(index);
    if (this.problem) this.pause();
    else if (this.wanted) this.start();
  }

  private load(index: number): void {
    const video = this.videos[index];
    const part = this.parts[index];
    if (!video || !part || part.unusable) return;
    video.preload = 'auto';
    video.muted = this.muted;
    if (!video.src) video.src = part.address;
  }

  private start(): void {
    const video = this.videos[this.active];
    if (!video) return;
    this.playing = true;
    video.playbackRate = this.speed;
    video.play().catch((thrown: unknown) => {
      // Pausing while the browser was still starting is no failure.
      if (thrown instanceof DOMException && thrown.name === 'AbortError') return;
      this.pause();
    });
  }

  /** Sends the browser to the target; while it is still on its way to an earlier one, the newest follows when it is there. */
  private aim(): void {
    const video = this.videos[this.active];
    if (!video || !this.target) return;
    if (video.readyState < 1 || video.seeking) {
      this.queued = true;
      return;
    }
    this.queued = false;
    // A part that was loaded ahead stands at its first frame already: going on without a seek leaves no gap.
    if (this.target.ms === 0 && video.currentTime === 0) this.target = undefined;
    else video.currentTime = this.target.seconds;
  }

  private loaded(index: number, video: Video): void {
    const part = this.parts[index] as FilmPart;
    if (video.videoWidth === 0) this.tell(index, noPictureWords(part));
    if (index !== this.active) return;
    video.playbackRate = this.speed;
    if (this.target) this.aim();
  }

  private seeked(index: number): void {
    if (index !== this.active) return;
    if (this.queued) return this.aim();
    clearTimeout(this.settling);
    this.settling = setTimeout(() => {
      this.target = undefined;
    }, seekSettles);
  }

  private watchFrames(index: number, video: Video): void {
    if (!video.requestVideoFrameCallback) return;
    const tell = (_: number, frame: { mediaTime: number }) => {
      if (this.videos[index] !== video) return;
      this.frame(index, frame.mediaTime);
      video.requestVideoFrameCallback?.(tell);
    };
    video.requestVideoFrameCallback(tell);
  }

  private frame(index: number, mediaTime: number): void {
    const part = this.parts[index];
    if (index !== this.active || !part) return;
    const ms = frameMs(part, mediaTime);
    if (this.target) {
      const frame = known(part.rate) ? (1000 * part.rate.den) / part.rate.num : 40;
      if (this.queued || Math.abs(ms - this.target.ms) >= frame) return;
      this.target = undefined;
    }
    this.passed(part, ms);
  }

  /** Without news of frames, and when the browser is too busy to give them, the playing position must do. */
  private timeUpdate(index: number, video: Video): void {
    const part = this.parts[index];
    if (index !== this.active || !part || this.target || video.seeking || video.ended) return;
    const ms = positionMs(part, video.currentTime);
    const late = Math.abs(ms - this.ms) > frameTooOld * Math.max(1, this.speed);
    if (!video.requestVideoFrameCallback || late) this.passed(part, ms);
  }

  private passed(part: FilmPart, ms: number): void {
    this.ms = ms;
    if (!this.playing) return;
    if (this.loop && !this.inLoop(this.active, ms)) return this.seek(this.loop.from);
    if (part.duration - ms < loadAhead * 1000 * this.speed) this.load(this.active + 1);
  }

  private ended(index: number): void {
    // A seek to the very end while paused ends nothing.
    if (index !== this.active || (this.target && !this.wanted)) return;
    this.target = undefined;
    if (this.loop) return this.seekAndPlay(this.loop.from);
    const next = this.parts[index + 1];
    if (next && this.wanted) return this.seekAndPlay({ part: next.id, ms: 0 });
    this.pause();
    this.ms = this.parts[index]?.duration ?? this.ms;
  }

  private seekAndPlay(to: Instant): void {
    this.seek(to);
    if (this.wanted && !this.problem) this.start();
  }

  private stopped(index: number): void {
    if (index === this.active && !this.videos[index]?.ended) this.playing = false;
    if (index === this.active && !this.videos[index]?.ended) this.wanted = false;
  }

  private setWaiting(index: number, waiting: boolean): void {
    if (index === this.active) this.waiting = waiting;
  }

  private tell(index: number, problem: string): void {
    this.problems = this.problems.map((p, i) => (i === index ? problem : p));
    if (problem !== '' && index === this.active) this.pause();
  }
}
