// Reads the stories of testdata/timeline for the tests; the lines are explained in the README there.
import { CaseClock, type ClockPart, type Instant, type RateSpan } from './clock';
import { type Happening, type Mark, mergeSteps, type TimedStep, type TimelineInput } from './marks';

/** One "expect" line: its words without that one. */
export interface Expectation {
  line: number;
  words: string[];
}

interface StoryPart extends ClockPart {
  rates: RateSpan[];
  cuts: number[];
}

/** One story: what was marked, and what must follow. */
export interface Story {
  title: string;
  parts: StoryPart[];
  stages: string[];
  steps: TimedStep[];
  /** Of the list taken up in mid-case; undefined without a conversion. */
  converted?: TimedStep[];
  marks: Mark[];
  complications: Happening[];
  medians: Record<string, number>;
  expect: Expectation[];
}

/** Reads the whole text or throws, naming the line. */
export function readStory(text: string): Story {
  const story: Story = {
    title: '',
    parts: [],
    stages: [],
    steps: [],
    marks: [],
    complications: [],
    medians: {},
    expect: [],
  };
  text.split('\n').forEach((line, i) => {
    const words = line
      .replace(/#.*/, '')
      .split(/\s+/)
      .filter((w) => w !== '');
    if (words.length === 0) return;
    try {
      readLine(story, i + 1, words);
    } catch (thrown) {
      throw new Error(`line ${i + 1}: ${(thrown as Error).message}`);
    }
  });
  if (story.title === '' || story.expect.length === 0) throw new Error('a story needs a title and expectations');
  return story;
}

function readLine(story: Story, line: number, words: string[]): void {
  const [kind, ...rest] = words;
  switch (kind) {
    case 'story':
      story.title = rest.join(' ');
      return;
    case 'stages':
      story.stages = rest;
      return;
    case 'conversion':
      story.converted = [];
      return;
    case 'expect':
      if (rest.length < 2) throw new Error('nothing is expected');
      story.expect.push({ line, words: rest });
      return;
    case 'part':
      story.parts.push(readPart(rest));
      return;
    case 'speed': {
      const [part, from, to, rate] = fixed(rest, '_ from _ to _ per-mille _') as [string, string, string, string];
      const span = { start: readTime(from), end: readTime(to), perMille: Number(rate) };
      partOf(story, part).rates.push(span);
      return;
    }
    case 'cut': {
      const at = readInstant(rest);
      partOf(story, at.part).cuts.push(at.ms);
      return;
    }
    case 'step':
      (story.converted ?? story.steps).push(readStep(rest));
      return;
    case 'median': {
      const [step, time] = fixed(rest, '_ _') as [string, string];
      story.medians[step] = readTime(time);
      return;
    }
    case 'mark':
      story.marks.push(readMark(rest));
      return;
    case 'complication': {
      if (rest.length !== 4) throw new Error('a complication needs id, kind, part and time');
      const [id, kindOf] = rest as [string, string];
      story.complications.push({ id, kind: kindOf, at: readInstant(rest.slice(2)) });
      return;
    }
    default:
      throw new Error(`"${kind}" is no kind of line`);
  }
}

/** Takes words apart by a pattern of literals, with "_" for values. */
function fixed(words: string[], pattern: string): string[] {
  const want = pattern.split(' ');
  const fits = words.length === want.length && want.every((w, i) => w === '_' || w === words[i]);
  if (!fits) throw new Error(`"${words.join(' ')}" does not look like "${pattern}"`);
  return words.filter((_, i) => want[i] === '_');
}

function readPart(words: string[]): StoryPart {
  const edited = words[words.length - 1] === 'edited';
  const plain = edited ? words.slice(0, -1) : words;
  const starts = plain.length === 4;
  const [id, length, offset] = fixed(plain, starts ? '_ _ starts _' : '_ _') as [string, string, string];
  const part = { id, name: `Part ${id}`, duration: readTime(length), rates: [], cuts: [], realTime: !edited };
  return starts ? { ...part, offset: readTime(offset) } : part;
}

function partOf(story: Story, id: string): StoryPart {
  const part = story.parts.find((p) => p.id === id);
  if (!part) throw new Error(`there is no part "${id}"`);
  return part;
}

function readStep(words: string[]): TimedStep {
  const [code, stage, how, required] = words;
  const fits = words.length === 3 || (words.length === 4 && required === 'required');
  if (!code || !stage || !fits) throw new Error('a step needs code, stage, exclusive or beside, and perhaps required');
  if (how !== 'exclusive' && how !== 'beside') throw new Error(`"${how}" is neither exclusive nor beside`);
  return { code, name: code, stage, exclusive: how === 'exclusive', required: required === 'required' };
}

function readMark(words: string[]): Mark {
  const by = words.length > 2 && words[words.length - 2] === 'by';
  const operator = by ? (words[words.length - 1] as string) : '';
  const plain = by ? words.slice(0, -2) : words;
  const [id, step] = plain;
  if (plain.length < 6 || plain[4] !== 'to' || !id || !step) {
    throw new Error('a mark needs id, step, part, time, to, and an end or open');
  }
  const open = plain.length === 6 && plain[5] === 'open';
  const end = open ? null : readInstant(plain.slice(5));
  return { id, step, operator, start: readInstant(plain.slice(2, 4)), end };
}

/** Reads a part and a time. */
export function readInstant(words: string[]): Instant {
  const [part, time] = fixed(words, '_ _') as [string, string];
  return { part, ms: readTime(time) };
}

/** Reads m:ss or h:mm:ss, with .mmm if wanted, into ms. */
export function readTime(word: string): number {
  const found = /^(-?)(?:(\d{1,3}):)?(\d{1,3}):(\d\d)(?:\.(\d{3}))?$/.exec(word);
  if (!found) throw new Error(`"${word}" is not a time such as 1:05 or 1:02:05.250`);
  const [, sign, hours = '0', minutes = '0', seconds = '0', thousandths = '0'] = found;
  const ms = Number(hours) * 3_600_000 + Number(minutes) * 60_000 + Number(seconds) * 1000 + Number(thousandths);
  return sign === '-' ? -ms : ms;
}

/** Turns the story into what durations takes. Throws a PartError when the parts cannot be placed. */
export function inputOf(story: Story): TimelineInput {
  const clock = new CaseClock(story.parts);
  const steps = story.converted ? mergeSteps(story.steps, story.converted) : story.steps;
  const { stages, marks, complications, medians: reference } = story;
  return { clock, stages, steps, marks, complications, reference };
}
