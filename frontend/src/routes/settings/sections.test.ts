import { describe, expect, it } from 'vitest';
import { chosenOf, moved, sectionLines } from './sections';

const known = ['summary', 'eye', 'steps', 'signature'].map((code) => ({
  code,
  name: code,
  stays: code === 'eye' || code === 'signature',
}));

describe('the parts of a report', () => {
  it('are all there in the usual order until a unit chooses', () => {
    expect(sectionLines(known, []).map((l) => [l.code, l.on])).toEqual(known.map((s) => [s.code, true]));
  });
  it('come in the order of the unit, with what it leaves out at the end', () => {
    const lines = sectionLines(known, ['signature', 'steps', 'eye']);
    expect(lines.map((l) => [l.code, l.on])).toEqual([
      ['signature', true],
      ['steps', true],
      ['eye', true],
      ['summary', false],
    ]);
    expect(chosenOf(lines)).toEqual(['signature', 'steps', 'eye']);
  });
  it('keep what stays', () => {
    expect(chosenOf(sectionLines(known, []).map((l) => ({ ...l, on: false })))).toEqual(['eye', 'signature']);
  });
  it('move among those that are in the report', () => {
    const lines = sectionLines(known, ['eye', 'signature']);
    expect(moved(lines, 'signature', -1).map((l) => l.code)).toEqual(['signature', 'eye', 'summary', 'steps']);
    expect(moved(lines, 'signature', 1)).toEqual(lines);
    expect(moved(lines, 'eye', -1)).toEqual(lines);
  });
});
