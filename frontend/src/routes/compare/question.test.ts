import { expect, test } from 'vitest';
import { emptyView, questionOf, readView, writeView } from './question';

test('a view comes back from its address', () => {
  const view = {
    ...emptyView,
    list: 'l-1',
    technique: 'msics',
    from: '2026-01-01',
    to: '2026-06-30',
    gradeFrom: 2,
    gradeTo: 4,
    part: 'whole',
    open: 'step:capsulorhexis',
    operator: 'p-1',
  } as const;
  expect(readView(writeView(view))).toEqual(view);
  expect(readView('')).toEqual(emptyView);
  expect(writeView(emptyView)).toBe('');
});

test('what is not understood is left out', () => {
  expect(readView('?gradeFrom=9&gradeTo=x&part=some')).toEqual(emptyView);
});

test('what is open is no part of the question', () => {
  const { open: _, operator: __, ...rest } = emptyView;
  expect(questionOf({ ...emptyView, open: 'step:a', operator: 'b' })).toEqual(rest);
});
