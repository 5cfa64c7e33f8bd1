// Where a film that is followed should stand, by the clock of the server.
import type { Place } from '../../../lib/api/meeting';

/** How far a film may be off before it is set right, ms. Less is not seen across a room; setting it right more often is. */
export const tolerance = 400;

/** Media ms at which the film of a place should stand at a time of the server, inside the part. */
export function expectedMs(place: Place, serverNow: number, duration: number): number {
  const gone = place.playing ? Math.max(0, serverNow - place.at) * (place.rate || 1) : 0;
  return Math.min(Math.max(0, place.ms + gone), duration);
}

/** Whether a film must be set right. */
export const drifted = (actual: number, expected: number): boolean => Math.abs(actual - expected) > tolerance;

const kept = 8;

/**
 * The server's clock as far as this device can tell. Every message was under way for a while: the one that came fastest, which
 * puts the server's clock furthest on, is nearest to the truth. Only the last few count, as clocks are set.
 */
export class ServerClock {
  #ahead: number[] = [];
  readonly #here: () => number;

  constructor(here: () => number = Date.now) {
    this.#here = here;
  }

  /** Takes the server's time when a message was sent, on its arrival. */
  hear(sentAt: number): void {
    this.#ahead = [...this.#ahead, sentAt - this.#here()].slice(-kept);
  }

  /** Unix ms on the server; this device's own time until something was heard. */
  now(): number {
    return this.#here() + (this.#ahead.length > 0 ? Math.max(...this.#ahead) : 0);
  }
}
