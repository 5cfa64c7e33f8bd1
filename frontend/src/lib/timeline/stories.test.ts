import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { PartError } from './clock';
import { durations, stepAt } from './durations';
import type { TimelineInput } from './marks';
import type { Figure, Operation, TimelineResult, Warning } from './result';
import { inputOf, readInstant, readStory, readTime, type Story } from './story';

// Every expectation was worked out by hand from the rules of the README beside the stories; source: our definitions.
const folder = join(process.cwd(), '../testdata/timeline');
const files = readdirSync(folder).filter((f) => f.endsWith('.txt'));

/** A time as ms, so that two ways to write it compare equal. */
function worded(value: number | null): string {
  return value === null ? 'none' : `${value} ms`;
}

function readWorded(word: string): string {
  return /^-?\d+:/.test(word) ? worded(readTime(word)) : word;
}

function namedFigure(f: Figure): Record<string, string> {
  return {
    total: worded(f.total),
    first: worded(f.firstStart),
    last: worded(f.lastEnd),
    span: worded(f.span),
    interrupted: worded(f.interrupted),
    unrecorded: worded(f.unrecorded),
    episodes: String(f.episodes),
    running: f.running ? 'yes' : 'no',
    quality: f.quality,
  };
}

function namedOperation(o: Operation): Record<string, string> {
  return {
    time: worded(o.time),
    start: worded(o.start),
    end: worded(o.end),
    tagged: worded(o.tagged),
    untagged: worded(o.untagged),
    unrecorded: worded(o.unrecorded),
    quality: o.quality,
  };
}

function figuresOf(result: TimelineResult, kind: string, words: string[]): [Record<string, string>, string[]] {
  let operators = result.operation.operators;
  let figure: Figure | undefined;
  let rest = words;
  if (kind !== 'operation') {
    const step = result.steps.find((s) => kind === 'step' && s.code === words[0]);
    figure = step ?? result.stages.find((s) => kind === 'stage' && s.stage === words[0]);
    if (!figure) throw new Error(`the result has no ${kind} ${words[0]}`);
    if (step) operators = step.operators;
    rest = words.slice(1);
  }
  if (rest[0] === 'by') {
    const theirs = operators.find((o) => o.operator === rest[1]);
    if (!theirs) throw new Error('the result has no such operator');
    return [namedFigure(theirs), rest.slice(2)];
  }
  return [figure ? namedFigure(figure) : namedOperation(result.operation), rest];
}

function wordWarning(w: Warning): string {
  return `${w.code} step=${w.step} marks=${w.marks.join(',')} complication=${w.complication ?? ''}`;
}

function expectedWarning(result: TimelineResult, words: string[]): string {
  const about: Record<string, string> = {};
  for (let i = 1; i < words.length; i += 2) {
    about[words[i] as string] = words[i + 1] as string;
    if (words[i] === 'at') about.at += ` ${readWorded(words[++i + 1] as string)}`;
  }
  const { step = '', marks = '', complication = '', at } = about;
  const wanted = `${words[0]} step=${step} marks=${marks} complication=${complication}`;
  const found = result.warnings.find((w) => {
    const place = w.at ? `${w.at.part} ${worded(w.at.ms)}` : '';
    return wordWarning(w) === wanted && (at === undefined || at === place);
  });
  if (!found) throw new Error(`no ${wanted} among ${result.warnings.map(wordWarning).join('; ')}`);
  return wanted;
}

function checkInstant(input: TimelineInput, kind: string, words: string[]): void {
  if (kind === 'media') {
    const at = input.clock.media(readTime(words[0] as string));
    const got = at ? `${at.part} ${worded(at.ms)}` : 'none';
    expect(got).toBe(words.slice(1).map(readWorded).join(' '));
    return;
  }
  expect(words).toHaveLength(3);
  const at = readInstant(words.slice(0, 2));
  const got = kind === 'running' ? (stepAt(input, at)?.step ?? 'none') : worded(input.clock.caseTime(at) ?? null);
  expect(got).toBe(readWorded(words[2] as string));
}

/** Compares everything that the story expects; throws at the first difference. */
function check(story: Story): void {
  const refusal = story.expect.find((e) => e.words[0] === 'refusal');
  if (refusal) {
    let thrown: unknown;
    try {
      inputOf(story);
    } catch (e) {
      thrown = e;
    }
    if (!(thrown instanceof PartError)) throw new Error('the parts were placed');
    expect([thrown.part, thrown.other || 'none']).toEqual(refusal.words.slice(1));
    return;
  }
  const input = inputOf(story);
  const result = durations(input);
  const warnings: string[] = [];
  let figures = 0;
  let silent = false;
  for (const { words } of story.expect) {
    const [kind, ...rest] = words as [string, ...string[]];
    if (kind === 'warning') warnings.push(expectedWarning(result, rest));
    else if (kind === 'no') {
      expect(rest).toEqual(['warnings']);
      silent = true;
    } else if (['running', 'case', 'media'].includes(kind)) {
      checkInstant(input, kind, rest);
      figures++;
    } else {
      const [named, pairs] = figuresOf(result, kind, rest);
      expect(pairs.length > 0 && pairs.length % 2 === 0).toBe(true);
      for (let i = 0; i < pairs.length; i += 2) {
        const name = pairs[i] as string;
        expect({ [name]: named[name] }).toEqual({ [name]: readWorded(pairs[i + 1] as string) });
      }
      figures++;
    }
  }
  expect(figures).toBeGreaterThan(0);
  expect(silent).toBe(warnings.length === 0);
  expect(result.warnings.map(wordWarning).sort()).toEqual(warnings.sort());
}

describe('stories about time', () => {
  const run: string[] = [];

  it.each(files)('%s', (file) => {
    check(readStory(readFileSync(join(folder, file), 'utf8')));
    run.push(file);
  });

  it('runs every file of the folder', () => {
    expect(files.length).toBeGreaterThan(0);
    expect(run).toHaveLength(files.length);
  });

  it.each([
    ['comes-back.txt', 'total 2:22 episodes 2 first', 'total 2:23 episodes 2 first'],
    ['comes-back.txt', 'expect no warnings', 'expect warning no-end step removal marks m1'],
    ['overlap.txt', 'expect warning overlap step division marks m3,m4 at A 3:10', ''],
    ['never-closed.txt', 'marks m2 at A 0:30', 'marks m2 at A 0:31'],
    ['two-operators.txt', 'by trainer total 0:40 episodes', 'by trainer total 0:41 episodes'],
    ['parts-overlap.txt', 'refusal B A', 'refusal A B'],
    ['empty.txt', 'end none', 'end 0:00'],
    ['complications.txt', 'expect running A 4:02 none', 'expect running A 4:02 cortex'],
  ])('%s fails when it says "%s" differently', (file, from, to) => {
    const text = readFileSync(join(folder, file), 'utf8');
    expect(text).toContain(from);
    const story = readStory(text.replace(from, to));
    expect(() => check(story)).toThrow();
  });
});
