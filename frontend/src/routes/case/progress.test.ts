import { expect, test } from 'vitest';
import type { Case, Part, Reading, SignedReport, Visit } from '../../lib/api/types';
import { beforeProgress, followUpProgress, operationProgress, reviewProgress } from './progress';

test('the eye before is complete once five facts are known; none is assumed', () => {
  const of = (before: Case['before']) => beforeProgress({ before } as Case);
  expect(of({}).text).toBe('waiting for age, sex, nuclear grade, pupil, cell count');
  expect(of({ age: 0, sex: 'female', nuclearGrade: 3, pupil: 'small' }).text).toBe('waiting for cell count');
  expect(of({ age: 70, sex: 'male', nuclearGrade: 1, pupil: 'large', exam: { density: 2400 } }).complete).toBe(true);
});

test('an operation counts as tagged only by its accepted reading', () => {
  const part = {} as Part;
  const reading = (accepted: boolean, seq: number) => ({ accepted, seq }) as Reading;
  expect(operationProgress([], [], 0).text).toBe('waiting for a recording');
  expect(operationProgress([part], [reading(true, 0)], 9).text).toBe('waiting to be tagged');
  expect(operationProgress([part], [reading(false, 4)], 0).complete).toBe(false);
  expect(operationProgress([part], [reading(true, 4)], 0).complete).toBe(true);
  expect(operationProgress([part], [reading(true, 4)], 1).text).toBe('1 expected step not marked');
});

test('follow-up waits for day 1 and month 1, and for a count if there was one before', () => {
  const visit = (window: Visit['window'], exam?: Visit['exam']) => ({ window, exam }) as Visit;
  const both = [visit('month-1'), visit('day-1')];
  expect(followUpProgress([], false).text).toBe('waiting for day 1 and month 1');
  expect(followUpProgress([visit('day-1'), visit('week-1')], true).text).toBe('waiting for month 1');
  expect(followUpProgress(both, false).complete).toBe(true);
  expect(followUpProgress(both, true).text).toBe('waiting for the cell count of month 1');
  expect(followUpProgress([visit('month-1', { density: 2100 }), visit('day-1')], true).complete).toBe(true);
});

test('the newest signed report is named', () => {
  const report = (number: number) => ({ number }) as SignedReport;
  expect(reviewProgress([]).complete).toBe(false);
  expect(reviewProgress([report(2), report(3), report(1)]).text).toBe('report 3 signed');
});
