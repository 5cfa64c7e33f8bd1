import { describe, expect, test } from 'vitest';
import { fill, match, paramsOf } from './router';

describe('paramsOf', () => {
  test.each([
    ['/', '/', {}],
    ['/cases', '/cases', {}],
    ['/cases', '/cases/', {}],
    ['/cases/:case', '/cases/0192', { case: '0192' }],
    ['/cases/:case/:part', '/cases/0192/follow-up', { case: '0192', part: 'follow-up' }],
    ['/cases/:case', '/cases/a%2Fb', { case: 'a/b' }],
  ])('%s fits %s', (pattern, path, params) => expect(paramsOf(pattern, path)).toEqual(params));

  test.each([
    ['/cases', '/case'],
    ['/cases', '/cases/1'],
    ['/cases/:case', '/cases'],
    ['/cases/:case', '/people/1'],
    ['/cases/:case', '/cases/%E0%A4%A'],
  ])('%s does not fit %s', (pattern, path) => expect(paramsOf(pattern, path)).toBeUndefined());
});

test('the first fitting row wins', () => {
  const table = [{ pattern: '/cases/new' }, { pattern: '/cases/:case' }] as const;
  expect(match(table, '/cases/new')?.route).toBe(table[0]);
  expect(match(table, '/cases/0192')).toEqual({ route: table[1], params: { case: '0192' } });
  expect(match(table, '/nowhere')).toBeUndefined();
});

test('what is filled in comes out again', () => {
  const params = { case: 'a/b c', part: 'é' };
  const path = fill('/cases/:case/:part', params);
  expect(path).toBe('/cases/a%2Fb%20c/%C3%A9');
  expect(paramsOf('/cases/:case/:part', path)).toEqual(params);
});
