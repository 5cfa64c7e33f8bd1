import { expect, test } from 'vitest';
import { codeFor, freeKey } from './code';

test('codes are plain and never taken twice', () => {
  expect(codeFor('Pupil expansion, ring', [])).toBe('pupil-expansion-ring');
  expect(codeFor('Étape', [])).toBe('etape');
  expect(codeFor('Ovd', ['ovd', 'ovd-2'])).toBe('ovd-3');
  expect(codeFor('步骤', [])).toBe('step');
});

test('the first free letter', () => {
  expect(freeKey(['a', 'b', 'd'])).toBe('c');
  expect(freeKey([...'abcdefghijklmnopqrstuvwxyz'])).toBe('');
});
