import { expect, test } from 'vitest';
import type { MissingItem } from '../../lib/api/record';
import type { Case, Part, Reading, SignedReport, Window, WindowPlan } from '../../lib/api/types';
import { beforeProgress, followUpProgress, operationProgress, reviewProgress, withMissing } from './progress';

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

test('follow-up waits for the visits of the unit, and for a count if there was one before', () => {
  const plan = (window: Window) => ({ window, required: true }) as WindowPlan;
  const plans = [plan('day-1'), plan('month-1')];
  const exam = { density: 2100 };
  const of = (visits: { window: Window; exam?: typeof exam }[], counted: boolean) =>
    followUpProgress(plans, { visits, counted });
  const both = [{ window: 'month-1' }, { window: 'day-1' }] as const;
  expect(of([], false).text).toBe('waiting for day 1 and month 1');
  expect(of([{ window: 'day-1' }, { window: 'week-1' }], true).text).toBe('waiting for month 1');
  expect(of([...both], false)).toEqual({ complete: true, text: 'day 1 and month 1 recorded' });
  expect(of([...both], true).text).toBe('waiting for the cell count of month 1');
  expect(of([{ window: 'month-1', exam }, { window: 'day-1' }], true).complete).toBe(true);
  expect(followUpProgress([...plans, plan('year-1')], { visits: [], counted: false }).text).toBe(
    'waiting for day 1, month 1 and year 1',
  );
  expect(followUpProgress([], { visits: [], counted: false }).complete).toBe(true);
  expect(followUpProgress(plans, { visits: [], counted: true, lost: { on: '2026-01-01', reason: 'moved' } }).text).toBe(
    'lost to follow-up',
  );
});

test('the newest signed report is named', () => {
  const report = (number: number) => ({ number }) as SignedReport;
  expect(reviewProgress([]).complete).toBe(false);
  expect(reviewProgress([report(2), report(3), report(1)]).text).toBe('report 3 signed');
});

test('a part can have what the review needs and still lack items of the minimum sets', () => {
  const missing = [{ part: 'before' }, { part: 'after' }, { part: 'before' }] as MissingItem[];
  const done = { complete: true, text: 'complete' };
  expect(withMissing(done, missing, 'before')).toEqual({
    complete: true,
    lacksItems: true,
    text: 'complete; 2 items of the minimum sets missing',
  });
  expect(withMissing(done, missing, 'after').text).toContain('1 item of');
  expect(withMissing(done, missing, 'operation')).toBe(done);
});
