import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { Film } from './film.svelte';
import { type FilmPart, frameMs, seekFor, type Video } from './media';

const rate = { num: 25, den: 1 };
const ntsc = { num: 30000, den: 1001 };

function part(id: string, more: Partial<FilmPart> = {}): FilmPart {
  return {
    id,
    name: `part ${id}`,
    address: `/${id}`,
    duration: 10_000,
    rate,
    variable: false,
    codec: 'h264',
    unusable: '',
    ...more,
  };
}

/** A video element on a clock of its own: it shows a frame only when told to, as a slow browser would. */
class FakeVideo extends EventTarget implements Video {
  src = '';
  preload = 'none';
  playbackRate = 1;
  muted = false;
  seeking = false;
  readyState = 0;
  videoWidth = 640;
  error: { code: number } | null = null;
  playing = false;
  asked: number[] = [];
  private at = 0;
  private readonly length: number;
  private callback: ((now: number, frame: { mediaTime: number }) => void) | undefined;

  constructor(seconds = 10) {
    super();
    this.length = seconds;
  }
  get currentTime() {
    return this.at;
  }
  set currentTime(seconds: number) {
    this.asked.push(seconds);
    this.at = Math.min(seconds, this.length);
    this.seeking = true;
  }
  get ended() {
    return this.at >= this.length;
  }
  async play() {
    this.playing = true;
  }
  pause() {
    this.playing = false;
  }
  load() {
    this.ready();
  }
  requestVideoFrameCallback(callback: (now: number, frame: { mediaTime: number }) => void) {
    this.callback = callback;
    return 1;
  }
  ready() {
    this.readyState = 4;
    this.dispatchEvent(new Event('loadedmetadata'));
  }
  present(mediaTime: number) {
    const { callback } = this;
    callback?.(0, { mediaTime });
  }
  arrive(fps = 25) {
    this.seeking = false;
    this.dispatchEvent(new Event('seeked'));
    this.present(Math.floor(this.at * fps + 1e-9) / fps);
  }
  run(seconds: number) {
    this.at = Math.min(this.at + seconds, this.length);
    this.present(Math.floor(this.at * 25 + 1e-9) / 25);
    if (this.ended) this.dispatchEvent(new Event('ended'));
  }
}

function cinema(...parts: FilmPart[]) {
  const film = new Film(parts);
  const videos = parts.map(() => new FakeVideo());
  videos.forEach((video, i) => {
    film.attach(i, video);
    video.ready();
  });
  return { film, videos: videos as [FakeVideo, ...FakeVideo[]] };
}

beforeEach(() => void vi.useFakeTimers());
afterEach(() => void vi.useRealTimers());

describe('frames', () => {
  it('of an earlier place do not take the playhead back while a later seek is on its way', () => {
    const { film, videos } = cinema(part('A'));
    film.seek({ part: 'A', ms: 1000 });
    videos[0].seeking = false;
    videos[0].dispatchEvent(new Event('seeked'));
    film.jump(1000);
    vi.advanceTimersByTime(300);
    videos[0].present(1);
    film.jump(1000);
    expect(film.now()).toEqual({ part: 'A', ms: 3000 });
  });

  it('are sought by their middle and told by their start', () => {
    const { film, videos } = cinema(part('A'));
    film.seek({ part: 'A', ms: 4050 });
    expect(videos[0].asked).toEqual([4.06]);
    expect(film.now()).toEqual({ part: 'A', ms: 4040 });
    videos[0].arrive();
    film.step(1);
    expect(videos[0].asked[1]).toBeCloseTo(4.1, 9);
    videos[0].arrive();
    film.step(-3);
    videos[0].arrive();
    expect(film.ms).toBe(3960);
  });

  it('stay exact at 30000/1001 over a thousand steps', () => {
    const p = part('A', { rate: ntsc, duration: 60_000 });
    for (let n = 0; n < 1000; n++) {
      const to = seekFor(p, Math.ceil((n * 1001) / 30));
      expect(Math.floor((to.seconds * 30_000) / 1001)).toBe(n);
      expect(frameMs(p, (n * 1001) / 30_000)).toBe(to.ms);
    }
  });

  it('ignore the old frame that is told again after a seek', () => {
    const { film, videos } = cinema(part('A'));
    film.seek({ part: 'A', ms: 4000 });
    videos[0].present(0);
    expect(film.ms).toBe(4000);
    videos[0].arrive();
    expect(film.ms).toBe(4000);
  });

  it('go to the newest place when a key is held', () => {
    const { film, videos } = cinema(part('A'));
    for (let i = 0; i < 5; i++) film.step(1);
    expect(videos[0].asked).toHaveLength(1);
    videos[0].arrive();
    expect(videos[0].asked[1]).toBeCloseTo(5.5 / 25, 9);
    videos[0].arrive();
    expect(film.ms).toBe(200);
  });

  it('follow the browser where frames are of different length', () => {
    expect(frameMs(part('A', { variable: true }), 4.0512)).toBe(4052);
    expect(frameMs(part('A'), 4.0512)).toBe(4052);
    expect(frameMs(part('A'), -0.007)).toBe(0);
  });
});

describe('several parts', () => {
  it('play on over the boundary and load the next part ahead', async () => {
    const { film, videos } = cinema(part('A'), part('B'));
    expect(videos[1]?.src).toBe('');
    film.play();
    videos[0].run(1);
    expect(videos[1]?.src).toBe('/B');
    videos[0].run(9);
    expect([film.part?.id, film.ms, film.playing, videos[1]?.playing]).toEqual(['B', 0, true, true]);
    videos[1]?.arrive();
    videos[1]?.run(10);
    expect([film.playing, film.ms]).toEqual([false, 10_000]);
  });

  it('are crossed by steps and jumps', () => {
    const { film } = cinema(part('A'), part('B'));
    film.seek({ part: 'A', ms: 10_000 });
    film.step(1);
    expect([film.part?.id, film.ms]).toEqual(['B', 0]);
    film.step(-1);
    expect([film.part?.id, film.ms]).toEqual(['A', 9960]);
    film.jump(2_000);
    expect([film.part?.id, film.ms]).toEqual(['B', 1960]);
    film.jump(-60_000);
    expect([film.part?.id, film.ms]).toEqual(['A', 0]);
  });
});

describe('playing', () => {
  it('loops a span and leaves the loop when the person goes elsewhere', () => {
    const { film, videos } = cinema(part('A'));
    film.setLoop({ from: { part: 'A', ms: 2000 }, to: { part: 'A', ms: 3000 } });
    expect([film.ms, film.playing]).toEqual([2000, true]);
    videos[0].arrive();
    videos[0].run(1);
    expect(film.ms).toBe(2000);
    film.seek({ part: 'A', ms: 8000 });
    expect(film.loop).toBeUndefined();
  });

  it('goes through its speeds and keeps within them', () => {
    const { film, videos } = cinema(part('A'));
    for (let i = 0; i < 9; i++) film.shift(1);
    expect([film.speed, videos[0].playbackRate]).toEqual([4, 4]);
    for (let i = 0; i < 9; i++) film.shift(-1);
    expect(film.speed).toBe(0.25);
  });

  it('takes the playing position when frames are told too late', () => {
    const { film, videos } = cinema(part('A'));
    film.play();
    videos[0].currentTime = 5;
    videos[0].seeking = false;
    expect(film.now()).toEqual({ part: 'A', ms: 5000 });
  });
});

describe('trouble', () => {
  it('is told in words: no picture, no decoder, not usable', () => {
    const film = new Film([part('A', { codec: 'hevc' }), part('B', { unusable: 'The file is missing.' })]);
    const [first, second] = [new FakeVideo(), new FakeVideo()];
    first.videoWidth = 0;
    film.attach(0, first);
    film.attach(1, second);
    first.ready();
    expect(film.problem).toContain('cannot show the picture of this recording (hevc)');
    film.seek({ part: 'B', ms: 0 });
    expect([film.problem, second.src]).toEqual(['The file is missing.', '']);
  });

  it('pauses at an error and can be tried again', () => {
    const { film, videos } = cinema(part('A'));
    film.play();
    videos[0].error = { code: 2 };
    videos[0].dispatchEvent(new Event('error'));
    expect([film.playing, film.problem]).toEqual([false, expect.stringContaining('stopped loading')]);
    film.reload();
    expect(film.problem).toBe('');
  });
});
