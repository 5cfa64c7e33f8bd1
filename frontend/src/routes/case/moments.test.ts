import { describe, expect, it } from 'vitest';
import type { Part } from '../../lib/api/types';
import { clockOf, inserted, meant, written } from './moments';

const part = (id: string, position: number, duration: number, offset?: number): Part =>
  ({ id, position, offset, facts: { duration }, rates: [], cuts: [], realTime: true }) as unknown as Part;
const parts = [part('a', 1, 420_000), part('b', 2, 480_000)];
const clock = clockOf(parts);

describe('moments of a review', () => {
  it('runs on across the parts', () => {
    expect(meant({ start: 0, end: 0, part: 0, ms: 548_440 }, parts, clock)).toEqual({ part: 'b', ms: 128_440 });
    expect(meant({ start: 0, end: 0, part: 2, ms: 128_440 }, parts, clock)).toEqual({ part: 'b', ms: 128_440 });
    expect(meant({ start: 0, end: 0, part: 2, ms: 480_001 }, parts, clock)).toBeUndefined();
    expect(meant({ start: 0, end: 0, part: 3, ms: 0 }, parts, clock)).toBeUndefined();
    expect(meant({ start: 0, end: 0, part: 0, ms: 900_000 }, parts, clock)).toBeUndefined();
  });

  it('writes what leads back', () => {
    expect(written({ part: 'b', ms: 128_440 }, parts, clock)).toBe('@9:08.44');
    expect(written({ part: 'b', ms: 128_440 }, parts, undefined)).toBe('@2/2:08.44');
    const early = [part('a', 1, 60_000, -5_000)];
    expect(written({ part: 'a', ms: 2_000 }, early, clockOf(early))).toBe('@1/0:02');
  });

  it('keeps words apart', () => {
    expect(inserted('It tore here', 7, 7, '@3:12')).toEqual({ text: 'It tore @3:12 here', cursor: 13 });
    expect(inserted('It tore at .', 11, 11, '@3:12')).toEqual({ text: 'It tore at @3:12.', cursor: 16 });
    expect(inserted('(', 1, 1, '@3:12').text).toBe('(@3:12');
    expect(inserted('', 0, 0, '@3:12').text).toBe('@3:12');
    expect(inserted('see XX.', 4, 6, '@3:12').text).toBe('see @3:12.');
  });
});
