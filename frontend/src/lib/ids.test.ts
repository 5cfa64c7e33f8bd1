import { expect, test } from 'vitest';
import { newId } from './ids';

test('ids are UUIDs of version 7 that sort by time', () => {
  // RFC 9562, figure of section 5.7 and the example of appendix A.6: 2022-02-22T19:22:22.00Z is 017F22E2-79B0-7...
  expect(newId(Date.UTC(2022, 1, 22, 19, 22, 22))).toMatch(
    /^017f22e2-79b0-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$/,
  );
  expect(newId(1000) < newId(1001)).toBe(true);
  expect(new Set(Array.from({ length: 500 }, () => newId(1))).size).toBe(500);
});
