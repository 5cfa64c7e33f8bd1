import { describe, expect, it } from 'vitest';
import { frameAt, frameCount, frameMiddle, frameStart, middleSeconds } from './frame';

const ntsc = { num: 30000, den: 1001 };

describe('frames', () => {
  // Source: arithmetic; 600 s * 30000/1001 = 17 982.02 frames.
  it('counts 17 982 frames in 600 s at 30000/1001', () => {
    expect(frameCount(ntsc, 600_000)).toBe(17_982);
  });

  it.each([{ num: 25, den: 1 }, ntsc, { num: 60000, den: 1001 }, { num: 24000, den: 1001 }, { num: 999, den: 1 }])(
    'comes back to the same frame from its start and its middle at $num/$den',
    (rate) => {
      for (let n = 0; n < 1500; n++) {
        expect(frameAt(rate, frameStart(rate, n))).toBe(n);
        expect(frameAt(rate, frameMiddle(rate, n))).toBe(n);
        if (n > 0) expect(frameAt(rate, frameStart(rate, n) - 1)).toBe(n - 1);
      }
    },
  );

  it('seeks to the middle of a frame', () => {
    expect(middleSeconds({ num: 25, den: 1 }, 101)).toBeCloseTo(4.06, 12);
    expect(middleSeconds(ntsc, 0)).toBeCloseTo(1001 / 60000, 12);
  });

  it('is exact where a product leaves the whole numbers of a double', () => {
    const rate = { num: 30_000_000, den: 1_001_000 };
    const ms = 2 ** 40;
    expect(frameAt(rate, ms)).toBe(Number((BigInt(ms) * 30_000_000n) / 1_001_000_000n));
  });

  it('gives 0 for an unknown rate', () => {
    expect([frameAt, frameStart, frameMiddle, middleSeconds].map((f) => f({ num: 0, den: 0 }, 7))).toEqual([
      0, 0, 0, 0,
    ]);
  });
});
