import { expect, test } from 'vitest';
import { dioptres, equivalentText, orNothing, sphericalEquivalent } from './refraction';

test('the spherical equivalent is sphere and half the cylinder', () => {
  expect(sphericalEquivalent({ sphere: -1, cylinder: -1.5, axis: 90 })).toBe(-1.75);
  expect(sphericalEquivalent({ sphere: 0.5, cylinder: 0 })).toBe(0.5);
  expect(sphericalEquivalent({ sphere: 0.5 })).toBeUndefined();
  expect(sphericalEquivalent({ cylinder: -1 })).toBeUndefined();
  expect(sphericalEquivalent(undefined)).toBeUndefined();
});

test('dioptres carry their sign', () => {
  expect(dioptres(0.25)).toBe('+0.25 D');
  expect(dioptres(-1.5)).toBe('−1.50 D');
  expect(dioptres(-0.001)).toBe('0.00 D');
});

test('beside a target stands the way from it', () => {
  expect(equivalentText({ sphere: -0.5, cylinder: -0.5, axis: 10 }, -0.25)).toBe(
    'Spherical equivalent −0.75 D: −0.50 D from the target of −0.25 D.',
  );
  expect(equivalentText({ sphere: 0, cylinder: 0 })).toBe('Spherical equivalent 0.00 D.');
  expect(equivalentText({ sphere: -1 })).toContain('0 if none');
  expect(equivalentText({ axis: 10 }, 0)).toBe('');
});

test('an object of unknowns is unknown; a zero is not', () => {
  expect(orNothing({ sphere: undefined, axis: undefined })).toBeUndefined();
  expect(orNothing({ sphere: 0 })).toEqual({ sphere: 0 });
  expect(orNothing({ note: '' })).toBeUndefined();
});
