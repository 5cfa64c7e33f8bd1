// @vitest-environment node
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { writeMoment, writtenMoments } from './written';

const lines = readFileSync(join(process.cwd(), '../testdata/moments/written.txt'), 'utf8')
  .split('\n')
  .filter((line) => line && !line.startsWith('#'));

describe('moments in a text', () => {
  it('has all the lines that the server is tested with', () => {
    expect(lines).toHaveLength(21);
  });

  it.each(lines)('%s', (line) => {
    const [text = '', ...wanted] = line.split(' |');
    const found = writtenMoments(text).map((m) => `${text.slice(m.start, m.end)} ${m.part} ${m.ms}`);
    expect(found).toEqual(wanted.map((w) => w.trim()).filter(Boolean));
  });

  it.each([
    [0, 0],
    [0, 192_000],
    [2, 192_500],
    [0, 3_792_007],
    [999, 359_999_999],
  ])('reads back part %i, %i ms', (part, ms) => {
    const [read] = writtenMoments(`at ${writeMoment(part, ms)}, then`);
    expect([read?.part, read?.ms]).toEqual([part, ms]);
  });
});
