import { afterEach, describe, expect, test, vi } from 'vitest';
import { address, onSignedOut, send } from './client';
import { asProblem, Problem, problemOf } from './problem';

const json = (status: number, body: unknown, type = 'application/problem+json') =>
  new Response(JSON.stringify(body), { status, headers: { 'content-type': type } });

afterEach(() => {
  vi.unstubAllGlobals();
  onSignedOut(() => {});
});

describe('problemOf', () => {
  test('keeps fields, both versions and the reference', async () => {
    const body = {
      title: 'Stale',
      detail: 'Somebody changed it.',
      code: 'stale',
      requestId: 'r1',
      fields: [{ field: 'before.age', message: 'Age must be 0 to 130.' }],
      yours: { revision: 1 },
      theirs: { revision: 2 },
    };
    const problem = await problemOf(json(409, body));
    expect(problem).toMatchObject({ status: 409, code: 'stale', requestId: 'r1', theirs: { revision: 2 } });
    expect(problem.message).toBe('Somebody changed it.');
    expect(problem.at('before.age')).toBe('Age must be 0 to 130.');
    expect(problem.at('before')).toBe('Age must be 0 to 130.');
    expect(problem.at('before.ag')).toBe('');
  });

  test.each([
    ['a page of a proxy', new Response('<html>', { status: 502, headers: { 'content-type': 'text/html' } })],
    ['a cut-off body', new Response('{"de', { status: 502, headers: { 'content-type': 'application/problem+json' } })],
    ['an empty body', new Response('', { status: 502 })],
  ])('makes a problem of %s', async (_, answer) => {
    const problem = await problemOf(answer);
    expect(problem.status).toBe(502);
    expect(problem.message).toContain('502');
    expect(problem.fields).toEqual([]);
  });

  test.each([
    [0, true],
    [400, false],
    [404, false],
    [409, false],
    [429, true],
    [500, true],
    [503, true],
  ])('status %i passes by itself: %s', (status, passing) => expect(new Problem(status, {}).passing).toBe(passing));

  test('anything thrown becomes one', () => {
    const problem = new Problem(404, {});
    expect(asProblem(problem)).toBe(problem);
    expect(asProblem(new Error('x')).message).toContain('x');
    expect(asProblem('y').passing).toBe(false);
  });
});

describe('send', () => {
  test('says that the server cannot be reached', async () => {
    vi.stubGlobal('fetch', vi.fn().mockRejectedValue(new TypeError('Failed to fetch')));
    await expect(send('GET', '/x')).rejects.toMatchObject({ status: 0, code: 'offline', passing: true });
  });

  test('tells when the session has ended', async () => {
    const ended = vi.fn();
    onSignedOut(ended);
    vi.stubGlobal('fetch', vi.fn().mockResolvedValue(json(401, { code: 'signed-out' })));
    await expect(send('GET', '/x')).rejects.toMatchObject({ status: 401 });
    expect(ended).toHaveBeenCalledOnce();
  });

  test('gives the body, and nothing for an empty answer', async () => {
    vi.stubGlobal('fetch', vi.fn().mockResolvedValueOnce(json(200, [1], 'application/json')));
    expect(await send('GET', '/x')).toEqual([1]);
    vi.stubGlobal('fetch', vi.fn().mockResolvedValueOnce(new Response(null, { status: 204 })));
    expect(await send('DELETE', '/x')).toBeUndefined();
  });

  test('a success that breaks off is a problem', async () => {
    vi.stubGlobal('fetch', vi.fn().mockResolvedValueOnce(new Response('{"a":', { status: 200 })));
    await expect(send('GET', '/x')).rejects.toBeInstanceOf(Problem);
  });
});

test('addresses are escaped and empty values left out', () => {
  expect(address(['cases', 'a/b'], { q: 'x y', eye: '', limit: 60, descending: false, cursor: undefined })).toBe(
    '/api/v1/cases/a%2Fb?q=x+y&limit=60',
  );
  expect(address(['cases', 'c', 'parts', 'p'], { revision: 0 })).toBe('/api/v1/cases/c/parts/p?revision=0');
});
