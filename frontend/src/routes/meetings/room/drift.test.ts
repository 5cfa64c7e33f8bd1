import { describe, expect, test } from 'vitest';
import type { Place } from '../../../lib/api/meeting';
import { drifted, expectedMs, ServerClock } from './drift';

const place: Place = {
  seq: 1,
  itemId: 'i',
  momentId: 'm',
  slide: '',
  part: 1,
  ms: 60_000,
  playing: true,
  rate: 1,
  at: 1_000_000,
  itemAt: 0,
  presenterId: 'p',
  state: 'running',
};

describe('drift', () => {
  test.each([
    ['playing', {}, 1_002_500, 62_500],
    ['at half speed', { rate: 0.5 }, 1_002_500, 61_250],
    ['0 stands for normal speed', { rate: 0 }, 1_002_500, 62_500],
    ['paused', { playing: false }, 1_002_500, 60_000],
    ['a clock that runs behind does not play backwards', {}, 999_000, 60_000],
    ['not beyond the end', {}, 1_200_000, 90_000],
  ])('%s', (_, change, now, want) => {
    expect(expectedMs({ ...place, ...change }, now, 90_000)).toBe(want);
  });

  test('half a second off is set right, a third of one is not', () => {
    expect([drifted(1000, 1400), drifted(1000, 1401), drifted(1401, 1000), drifted(1400, 1000)]).toEqual([
      false,
      true,
      true,
      false,
    ]);
  });

  test('the message that came fastest tells the clock of the server', () => {
    let here = 5000;
    const clock = new ServerClock(() => here);
    expect(clock.now()).toBe(5000);
    // The server is 3000 ahead; the messages were under way for 900, 40 and 300 ms.
    for (const late of [900, 40, 300]) clock.hear(here + 3000 - late);
    here += 10_000;
    expect(clock.now()).toBe(17_960);
  });

  test('a clock that was set is believed after a few messages', () => {
    const clock = new ServerClock(() => 0);
    clock.hear(60_000);
    for (let i = 0; i < 8; i++) clock.hear(100);
    expect(clock.now()).toBe(100);
  });
});
