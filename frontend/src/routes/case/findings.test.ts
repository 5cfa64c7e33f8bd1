import { expect, test } from 'vitest';
import type { Report } from '../../lib/api/report';
import { openPoints, saysTheSame, stepsOpen } from './findings';

test('open points: accepted warnings are not open', () => {
  const report = {
    warnings: [
      { message: 'Never closed.', accepted: '', moment: { page: '/cases/1/operation#t=1' } },
      { message: 'Gap.', accepted: 'drape changed', moment: null },
    ],
    missing: [{ text: 'No month 1.', at: null }],
  } as unknown as Report;
  expect(openPoints(report)).toEqual([
    { text: 'Never closed.', page: '/cases/1/operation#t=1' },
    { text: 'No month 1.', page: '' },
  ]);
  expect(openPoints({ warnings: null, missing: null } as Report)).toEqual([]);
});

test('a draft says the same as what was signed when only the count of changes differs', () => {
  const signed = { caseChange: 4, summary: 'One eye.', missing: [] } as unknown as Report;
  expect(saysTheSame({ ...signed, caseChange: 5, hash: 'a', change: 5 }, signed)).toBe(true);
  expect(saysTheSame({ ...signed, missing: [{ text: 'x', at: null }], hash: 'a', change: 4 }, signed)).toBe(false);
});

test('a step that is neither marked nor explained is open', () => {
  const warning = (code: string, accepted: string) => ({ code, accepted, message: 'x', moment: null });
  const warnings = [
    warning('required-step-absent', ''),
    warning('required-step-absent', 'none needed'),
    warning('overlap', ''),
  ];
  expect(stepsOpen({ warnings } as Report)).toBe(1);
  expect(stepsOpen(undefined)).toBe(0);
});
