import { expect, test } from 'vitest';
import type { BesideCase } from '../../lib/api/earlier';
import { figures, letterTitle } from './figures';

const here: BesideCase = {
  caseId: 'b',
  date: '2026-01-20',
  eye: 'OD',
  sameEye: true,
  technique: 'phaco',
  nuclearGrade: 4,
  operation: 754_400,
  nucleus: 240_000,
  cde: 12.34,
  densityBefore: 2480.4,
  densityAfter: 2210.5,
  window: 'month-3',
  complications: ['Capsule rupture', 'Vitreous loss'],
  report: null,
};
const earlier: BesideCase = {
  ...here,
  caseId: 'a',
  date: '2025-03-04',
  eye: 'OS',
  sameEye: false,
  nuclearGrade: null,
  operation: null,
  nucleus: null,
  cde: null,
  densityBefore: null,
  densityAfter: null,
  window: '',
  complications: [],
  report: {
    id: 'r',
    caseId: 'a',
    number: 2,
    hash: '',
    signedBy: 'm',
    signerName: 'Invented Signer',
    signedAt: 0,
    caseChange: 1,
    addenda: [],
  },
};

test('each figure stands beside its other, and what is not known is said', () => {
  expect(figures(earlier, here).map((l) => [l.name, l.earlier, l.here])).toEqual([
    ['Date', '4 Mar 2025', '20 Jan 2026'],
    ['Eye', 'Left eye (OS)', 'Right eye (OD)'],
    ['Technique', 'Phaco', 'Phaco'],
    ['Nuclear grade', 'Not known', '4'],
    ['Operation time', 'Not known', '12:34'],
    ['Nucleus stage', 'Not known', '4:00'],
    ['CDE', 'Not known', '12.3'],
    ['Endothelial density before', 'Not known', '2480 cells/mm²'],
    ['Endothelial density at the last count', 'Not known', '2211 cells/mm², month 3'],
    ['Complications', 'None recorded', 'Capsule rupture, Vitreous loss'],
  ]);
});

test('a letter says whether it is signed', () => {
  expect(letterTitle(earlier)).toBe('Report 2, signed by Invented Signer');
  expect(letterTitle(here)).toBe('Draft: no report of this case is signed');
});
