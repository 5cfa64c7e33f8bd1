// What is asked, as it stands in the address, so that a question can be sent to a colleague and the way back leads to it.
import type { Definition, Exposure, Outcome, OutcomeChoices, OutcomeKind, Population } from '../../lib/api/study';

const kinds: readonly OutcomeKind[] = ['loss', 'oedema', 'thickness', 'acuity', 'complication'];
/** One study holds no more; beyond that it is a search, not a question. */
export const mostExposures = 12;

export const everybody: Population = {
  technique: '',
  from: '',
  to: '',
  gradeFrom: null,
  gradeTo: null,
  operator: '',
  withRuptures: false,
};

/** "stage:nucleus", "cde". */
export const exposureKey = (e: Pick<Exposure, 'kind' | 'code'>) => (e.code ? `${e.kind}:${e.code}` : e.kind);
/** "loss", "complication:capsule-rupture". */
export const outcomeKey = (o: Pick<Outcome, 'kind' | 'complication'>) =>
  o.kind === 'complication' ? `complication:${o.complication}` : o.kind;

const texts = ['technique', 'from', 'to', 'operator'] as const;
const grades = ['gradeFrom', 'gradeTo'] as const;

/** The search part of the address for a question. */
export function writeQuestion(d: Definition): string {
  const given = new URLSearchParams();
  given.set('outcome', outcomeKey(d.outcome));
  if (d.outcome.window) given.set('at', d.outcome.window);
  given.set('of', d.exposures.map((e) => exposureKey(e) + (e.scale === 'doubling' ? '*2' : '')).join(','));
  // Nothing is not the usual set.
  if (d.adjust) given.set('given', d.adjust.join(',') || 'nothing');
  for (const name of texts) if (d.population[name]) given.set(name, d.population[name]);
  for (const name of grades) if (d.population[name] !== null) given.set(name, String(d.population[name]));
  if (d.population.withRuptures) given.set('ruptures', 'with');
  return `?${given.toString().replaceAll('%3A', ':').replaceAll('%2C', ',')}`;
}

/** Reads a question out of the search part of an address; undefined when it holds none. What is not understood is left out. */
export function readQuestion(search: string): Definition | undefined {
  const given = new URLSearchParams(search);
  const [kind, complication = ''] = cut(given.get('outcome') ?? '');
  const outcome = kinds.find((k) => k === kind);
  const exposures = (given.get('of') ?? '').split(',').filter(Boolean).map(readExposure).slice(0, mostExposures);
  if (!outcome || exposures.length === 0) return undefined;
  const named = given.get('given');
  const population: Population = { ...everybody, withRuptures: given.get('ruptures') === 'with' };
  for (const name of texts) population[name] = given.get(name) ?? '';
  for (const name of grades) {
    const grade = Number(given.get(name));
    population[name] = Number.isInteger(grade) && grade >= 1 && grade <= 5 ? grade : null;
  }
  return {
    outcome: {
      kind: outcome,
      window: outcome === 'complication' ? '' : (given.get('at') ?? ''),
      complication: outcome === 'complication' ? complication : '',
    },
    exposures: exposures.filter((e, i) => exposures.findIndex((o) => exposureKey(o) === exposureKey(e)) === i),
    adjust: named === null ? null : named === 'nothing' ? [] : named.split(',').filter(Boolean),
    population,
  };
}

function readExposure(text: string): Exposure {
  const doubled = text.endsWith('*2');
  const [kind, code = ''] = cut(doubled ? text.slice(0, -2) : text);
  return { kind, code, scale: doubled ? 'doubling' : 'unit' };
}

function cut(text: string): [string, string | undefined] {
  const at = text.indexOf(':');
  return at < 0 ? [text, undefined] : [text.slice(0, at), text.slice(at + 1)];
}

/** Under so many cases an outcome or exposure is no first question. */
const fewest = 20;
/** What a surgeon asks first: time at the nucleus, else the energy, else the whole operation. */
const firstExposures = ['stage:nucleus', 'cde', 'operation'];

/** The question that the page asks first: loss of cells at a month against time at the nucleus, as far as the data carry it. */
export function firstQuestion(choices: OutcomeChoices): Definition | undefined {
  const outcome = firstOutcome(choices);
  const exposure =
    firstExposures
      .map((key) => choices.exposures.find((e) => exposureKey(e) === key))
      .find((e) => e && e.n >= fewest) ?? mostKnown(choices.exposures);
  if (!outcome || !exposure) return undefined;
  const technique = mostKnown(choices.techniques);
  return {
    outcome,
    exposures: [
      { kind: exposure.kind, code: exposure.code, scale: exposure.scales.includes('doubling') ? 'doubling' : 'unit' },
    ],
    adjust: null,
    population: { ...everybody, technique: technique?.code ?? '' },
  };
}

function firstOutcome(choices: OutcomeChoices): Outcome | undefined {
  const visits = choices.outcomes.flatMap((o) =>
    o.windows.map((w) => ({ kind: o.kind, window: w.window, complication: '', n: w.n })),
  );
  const month = visits.find((v) => v.kind === 'loss' && v.window === 'month-1');
  const chosen = month && month.n >= fewest ? month : mostKnown(visits);
  return chosen && { kind: chosen.kind, window: chosen.window, complication: chosen.complication };
}

/** The choice that most cases know; undefined where none does. */
const mostKnown = <T extends { n: number }>(list: readonly T[]) =>
  list
    .filter((one) => one.n > 0)
    .reduce<T | undefined>((best, one) => (best && best.n >= one.n ? best : one), undefined);

/** Whether two questions ask the same. */
export const sameQuestion = (a: Definition, b: Definition) => writeQuestion(a) === writeQuestion(b);

/** A question about another outcome: the visit stays where it is known, the usual factors are those of the new one. */
export function withOutcome(d: Definition, key: string, choices: OutcomeChoices): Definition {
  const [kind, complication = ''] = cut(key);
  const chosen = choices.outcomes.find((o) => o.kind === kind);
  if (!chosen) return d;
  const same = chosen.windows.find((w) => w.window === d.outcome.window && w.n > 0);
  const window = chosen.kind === 'complication' ? '' : ((same ?? mostKnown(chosen.windows))?.window ?? '');
  return { ...d, outcome: { kind: chosen.kind, window, complication }, adjust: null };
}
