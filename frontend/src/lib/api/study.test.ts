import { afterEach, describe, expect, test, vi } from 'vitest';
import { Problem } from './problem';
import { answerStudy, type Definition } from './study';

const asked: Definition = {
  outcome: { kind: 'loss', window: 'month-1', complication: '' },
  exposures: [{ kind: 'cde', code: '', scale: 'unit' }],
  adjust: null,
  population: {
    technique: '',
    from: '',
    to: '',
    gradeFrom: null,
    gradeTo: null,
    operator: '',
    withRuptures: false,
  },
};

/** A server that answers in these pieces, however lines are cut by them. */
function answering(...pieces: string[]): void {
  const body = new ReadableStream({
    start(control) {
      for (const piece of pieces) control.enqueue(new TextEncoder().encode(piece));
      control.close();
    },
  });
  vi.stubGlobal('fetch', vi.fn().mockResolvedValue(new Response(body, { status: 200 })));
}

const ask = (progress: (done: number, of: number) => void = () => {}) =>
  answerStudy(asked, progress, new AbortController().signal);

describe('an answer that comes line by line', () => {
  afterEach(() => vi.unstubAllGlobals());

  test('tells how far it is, then what it found', async () => {
    answering('{"done":1,', '"of":2}\n{"done":2,"of":2}\n{"answer":{"n":', '147},"hash":"a","dataHash":"b"}\n');
    const told: string[] = [];
    const found = await ask((done, of) => told.push(`${done} of ${of}`));
    expect(told).toEqual(['1 of 2', '2 of 2']);
    expect(found.answer.n).toBe(147);
    expect([found.hash, found.dataHash]).toEqual(['a', 'b']);
  });

  test('is taken without a last line break too', async () => {
    answering('{"answer":{"n":3},"hash":"a","dataHash":"b"}');
    expect((await ask()).answer.n).toBe(3);
  });

  test('a refusal under way is a problem', async () => {
    answering('{"done":1,"of":2}\n', '{"problem":{"status":503,"code":"unavailable","detail":"Too busy."}}\n');
    await expect(ask()).rejects.toThrow(new Problem(503, { code: 'unavailable', detail: 'Too busy.' }));
  });

  test.each([['{"done":1,"of":2}\n'], ['{"answer":{"n":']])('what is cut off is no answer: %s', async (text) => {
    answering(text);
    await expect(ask()).rejects.toThrow(/cut off/);
  });
});
