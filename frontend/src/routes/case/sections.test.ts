import { expect, test } from 'vitest';
import { energyParts, moreOfEye, moreOfVisit, settingsOf } from './holdings';
import { riskCount, riskGroups, unanswered } from './risks';
import { isCaseFact, isConsent, isExamBefore, isEyeFact, isOperationFact, isRiskFactor } from './sections';

test.each([
  ['before.age', isEyeFact],
  ['before.refraction.sphere', isEyeFact],
  ['before.exam.density', isExamBefore],
  ['before.fellowEye', isExamBefore],
  ['before.guttata', isRiskFactor],
  ['operation.cde', isOperationFact],
  ['lostToFollowUp.on', isCaseFact],
  ['operators', isCaseFact],
  ['consent.review', isConsent],
])('%s stands in one section only', (field, mine) => {
  const all = [isCaseFact, isConsent, isExamBefore, isEyeFact, isOperationFact, isRiskFactor];
  expect(all.filter((is) => is(field))).toEqual([mine]);
});

test('a question is asked once, and only an answer answers it', () => {
  const fields = riskGroups.flatMap((g) => g.factors.map((f) => f.field));
  expect(new Set(fields).size).toBe(riskCount);
  expect(unanswered({})).toEqual(fields);
  expect(unanswered({ glaucoma: 'no', onlyEye: 'yes' })).toHaveLength(riskCount - 2);
});

test('a closed line says what is behind it', () => {
  const operation = { techniquePlanned: 'phaco', techniquePerformed: 'phaco' } as const;
  expect(moreOfEye({})).toBe('');
  expect(moreOfEye({ uncorrectedAcuity: '', locs: { cortical: 2 }, whiteToWhite: 11.8 })).toBe(
    'white to white, LOCS III',
  );
  expect(energyParts({ ...operation, longitudinalTime: 0, ept: 3 })).toBe('longitudinal, EPT');
  expect(settingsOf({ ...operation, settings: [] })).toBe('');
  expect(settingsOf({ ...operation, settings: [{ stage: 'nucleus', flow: 30 }] })).toBe('1 stage');
  expect(moreOfVisit({ id: 'v', caseId: 'c', revision: 1, window: 'day-1', date: '', medication: 'drops' })).toBe(
    'medication',
  );
});
