import { expect, test } from 'vitest';
import type { Report, Risk, VisitLine } from '../../lib/api/report';
import { openPoints, riskText, saysTheSame, stepsOpen, visitFindings } from './findings';

const line = (by: Partial<VisitLine>): VisitLine =>
  ({ thicknessChange: null, loss: null, flags: null, ...by }) as VisitLine;
const loss = { lossPercent: 10.2, low: 4.13, high: 15.9, beyondCountingError: true, smallestTold: 8, notes: null };

test('a loss stands with its interval and says whether it is beyond counting error', () => {
  expect(visitFindings(line({ loss }))).toEqual([
    'Loss of endothelial cells 10.2 % (4.1 to 15.9 %, 95 % interval of counting error).',
    'This is beyond counting error.',
  ]);
  const within = { ...loss, lossPercent: 3, low: -2.5, high: 8.1, beyondCountingError: false };
  expect(visitFindings(line({ loss: within }))).toEqual([
    'Loss of endothelial cells 3.0 % (−2.5 to 8.1 %, 95 % interval of counting error).',
    'This is within counting error: it may be no loss at all.',
  ]);
});

test('what is not known is said, and nothing is made of it', () => {
  const unknown = { ...loss, low: null, high: null, beyondCountingError: null, notes: ['Different instruments.'] };
  expect(visitFindings(line({ loss: unknown }))).toEqual([
    'Loss of endothelial cells 10.2 %; the counting error is not known.',
    'Different instruments.',
  ]);
  expect(visitFindings(line({ loss: { ...unknown, lossPercent: null } }))).toEqual(['Different instruments.']);
  expect(visitFindings(line({}))).toEqual([]);
});

test('a gain, thickness and flags', () => {
  const gain = { ...loss, lossPercent: -2, low: null, high: null, beyondCountingError: null };
  expect(visitFindings(line({ loss: gain, thicknessChange: -1.25, flags: ['density under 1000 cells/mm²'] }))).toEqual([
    'Gain of endothelial cells 2.0 %; the counting error is not known.',
    'The cornea is 1.3 % thinner than before the operation.',
    'Flagged: density under 1000 cells/mm².',
  ]);
});

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

test('an unknown factor makes the risk a range', () => {
  expect(riskText({ percent: 2.44 } as Risk)).toBe('2.4 %');
  expect(riskText({ percent: null, lowPercent: 0.74, highPercent: 12.06 } as Risk)).toBe('0.7 to 12.1 %');
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
