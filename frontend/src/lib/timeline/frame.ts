/** A rational number of frames per second: 30000/1001 is not 29.97. 0/0 is an unknown rate, which gives 0 everywhere. */
export interface FrameRate {
  num: number;
  den: number;
}

/** Whether the rate is one. */
export function known(rate: FrameRate): boolean {
  return rate.num > 0 && rate.den > 0;
}

/** The number of the frame, from 0, that is on the screen at a media time in ms. Source: arithmetic. */
export function frameAt(rate: FrameRate, ms: number): number {
  return known(rate) && ms > 0 ? scale(ms, rate.num, 1000 * rate.den, 0) : 0;
}

/**
 * The first whole media millisecond at which frame n is on the screen: n * den/num seconds, rounded up, so that
 * frameAt(frameStart(n)) is n. Source: arithmetic.
 */
export function frameStart(rate: FrameRate, n: number): number {
  return known(rate) && n > 0 ? scale(n, 1000 * rate.den, rate.num, rate.num - 1) : 0;
}

/** The media millisecond nearest to the middle of frame n. */
export function frameMiddle(rate: FrameRate, n: number): number {
  return known(rate) && n >= 0 ? scale(2 * n + 1, 1000 * rate.den, 2 * rate.num, rate.num) : 0;
}

/** The exact middle of frame n in seconds; a seek goes there, so that rounding by the player cannot land on a neighbour. */
export function middleSeconds(rate: FrameRate, n: number): number {
  return known(rate) ? ((n + 0.5) * rate.den) / rate.num : 0;
}

/** The number of frames in a duration in ms, to the nearest whole one, because files give their duration rounded. */
export function frameCount(rate: FrameRate, duration: number): number {
  return known(rate) && duration > 0 ? scale(duration, rate.num, 1000 * rate.den, 500 * rate.den) : 0;
}

/** (a*b + add) / c, rounded down; exact, also where the product leaves the whole numbers that a double holds. */
function scale(a: number, b: number, c: number, add: number): number {
  const sum = a * b + add;
  if (Number.isSafeInteger(sum)) return (sum - (sum % c)) / c;
  return Number((BigInt(a) * BigInt(b) + BigInt(add)) / BigInt(c));
}
