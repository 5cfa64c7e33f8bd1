// What a study says, in words for a reader who is no statistician. Relations only: never what does what.
import type {
  Definition,
  Difference,
  Exposure,
  Outcome,
  OutcomeKind,
  Relation,
  Size,
  StudyResult,
} from '../../lib/api/study';
import { counted } from '../../lib/chart/number';
import { dateText } from '../../lib/text/format';

/** No bound: the largest number there is stands for it. */
const unbounded = Number.MAX_VALUE / 2;

/** A number with two or three digits, as the answer of the server writes it. */
export function figure(value: number): string {
  const size = Math.abs(value);
  if (size >= unbounded) return 'any size';
  if (size >= 1e6) return 'over a million';
  const text =
    size >= 100
      ? value.toFixed(0)
      : size >= 10
        ? value.toFixed(1)
        : size >= 0.095
          ? value.toFixed(2)
          : size === 0
            ? '0'
            : String(Number(value.toPrecision(2)));
  return text.replace('-', '−');
}

/** The unit of a size, the words for its two sides, what it is of, and the name of its axis. */
const sides: Record<OutcomeKind, { unit: string; more: string; less: string; of: string; axis: string }> = {
  loss: { unit: ' %', more: ' fewer', less: ' more', of: ' cells left', axis: '% fewer cells left' },
  oedema: { unit: '', more: ' grades more', less: ' grades less', of: '', axis: 'grades of oedema more' },
  thickness: { unit: ' %', more: ' more', less: ' less', of: ' thickness', axis: '% more thickness' },
  acuity: { unit: ' logMAR', more: ' more', less: ' less', of: ' gain', axis: 'logMAR more gain' },
  complication: { unit: '', more: '', less: '', of: '', axis: 'odds ratio, log scale' },
};
export const sizeAxis = (kind: OutcomeKind) => sides[kind].axis;

/** One number with its side: "2.73 % fewer cells left"; "an odds ratio of 1.42". */
export function sideText(value: number, kind: OutcomeKind): string {
  if (kind === 'complication') return `an odds ratio of ${figure(value)}`;
  const { unit, more, less, of } = sides[kind];
  return figure(Math.abs(value)) + unit + (value < 0 ? less : more) + of;
}

/** The interval in words: "0.92 to 7.23 % fewer cells left", "1.95 % more to 7.20 % fewer cells left". */
export function intervalText({ low, high }: Pick<Size, 'low' | 'high'>, kind: OutcomeKind): string {
  if (kind === 'complication') return `an odds ratio of ${figure(low)} to ${figure(high)}`;
  const { unit, less } = sides[kind];
  if (low < 0 && high > 0) return `${figure(-low)}${unit}${less} to ${sideText(high, kind)}`;
  const [near, far] = high > 0 ? [low, high] : [high, low];
  return `${figure(Math.abs(near))} to ${sideText(far, kind)}`;
}

/** "2.73 (−1.95 to 7.20)". */
export const sizeFigures = (s: Pick<Size, 'value' | 'low' | 'high'>) =>
  `${figure(s.value)} (${figure(s.low)} to ${figure(s.high)})`;

/** Whether an interval leaves "no relation" out. */
export function isFound(s: Pick<Size, 'low' | 'high'>, kind: OutcomeKind): boolean {
  const none = kind === 'complication' ? 1 : 0;
  return s.low > none || s.high < none;
}

export const capital = (text: string) => text.charAt(0).toUpperCase() + text.slice(1);

/** "each doubling of the time in the nucleus stage", "each further minute of operation time". */
export function perText(r: Pick<Relation, 'per' | 'name'>): string {
  switch (r.per) {
    case 'doubling':
      return `each doubling of the ${r.name}`;
    case 'contact':
      return 'each further contact of fragments with the endothelium';
    case 'top-up':
      return 'each further OVD top-up';
    case 'event':
      return `each further ${r.name}`;
    default:
      return `each further ${r.per} of ${r.name}`;
  }
}

/** What may be concluded from one relation, in one or two sentences. */
export function verdictText(r: Relation, kind: OutcomeKind, tried: number): string {
  const s = r.adjusted;
  if (!s) return r.why;
  if (!isFound(s, kind)) {
    const seen = r.smallestSeen;
    const proof =
      seen === null
        ? 'That is no proof of none.'
        : `That is no proof of none: only ${smallestText(seen, kind)} would have shown in four studies of five like this one.`;
    return `No relation is shown: the interval holds ${kind === 'complication' ? 'an odds ratio of 1' : '0'}. ${proof}`;
  }
  const shown = `A relation is shown: the interval leaves ${kind === 'complication' ? 'an odds ratio of 1' : '0'} out.`;
  if (tried < 2 || r.holm === null) return shown;
  return r.holm < 0.05
    ? `${shown} It stands out even when all ${tried} exposures tried here are allowed for (Holm).`
    : `${shown} Allowing for the ${tried} exposures tried here (Holm), it may be chance.`;
}

/** The smallest relation that would have shown. */
export const smallestText = (value: number, kind: OutcomeKind) =>
  kind === 'complication'
    ? `an odds ratio of ${figure(value)} or more`
    : `a relation of at least ${sideText(value, kind)}`;

/** What the reader needs to know about the figures shown, a line each. */
export function explanations(d: Definition): string[] {
  const lines: string[] = [];
  if (d.outcome.kind === 'complication') {
    lines.push(
      'Odds ratio: by how many times the odds (cases with the complication to cases without it) differ with each step. 1 is no relation; while the complication is rare it is close to the ratio of the risks.',
    );
  }
  if (d.exposures.some((e) => e.scale === 'doubling')) {
    lines.push('Per doubling: a case with twice as much beside a case with half of it, such as 4 minutes beside 2.');
  }
  return lines;
}

/** "147 of 232 cases of 6 operators", with the events of a complication. */
export function casesText(r: StudyResult): string {
  const of = r.operators > 0 ? ` of ${counted(r.operators, 'operator')}` : '';
  const events = r.definition.outcome.kind === 'complication' ? `, ${r.events} with the complication` : '';
  return `${r.n.toLocaleString('en-GB')} of ${counted(r.population, 'case')}${of}${events}.`;
}

const rests: Record<string, string> = {
  clustered: 'It allows for cases of one operator going together.',
  hc3: 'It takes all cases for independent.',
  classical: 'It takes all cases for independent and equally spread.',
  'profile, clustered': 'It allows for cases of one operator going together.',
  profile: 'It takes all cases for independent.',
  rank: 'It takes all cases for independent.',
};
/** What an interval rests on. */
export const restText = (s: Pick<Size, 'interval'>) => rests[s.interval] ?? '';

/** From what standardised difference on two groups of cases are called unlike. Source: common practice. */
const unlike = 0.2;
/** Whether those who fell out are like those who were used. */
export function differencesText(differences: readonly Difference[]): string {
  const apart = differences.filter((d) => d.standardised !== null && Math.abs(d.standardised) >= unlike);
  if (apart.length === 0)
    return 'Those who fell out are much like those who were used, as far as it is known (no difference of 0.2 standard deviations or more).';
  const names = apart.map((d) => `${d.name} (${(d.standardised ?? 0) > 0 ? 'higher' : 'lower'} in those used)`);
  return `Those who fell out differ in ${inWords(names, 'and')}: the answer holds for those who were used.`;
}

/** A p value; never alone. */
export const pText = (p: number) => (p < 0.001 ? 'p < 0.001' : `p = ${figure(p)}`);

/** A name as it stands within a sentence: "phacoemulsification", but "OVD top-ups" and "Descemet tear". */
export const inText = (name: string) =>
  /^.[\p{Lu}\d]|^Descemet/u.test(name) ? name : name.charAt(0).toLowerCase() + name.slice(1);

/** A choice in a sentence with how many cases know it, where those are few. */
export const known = (name: string, n: number) =>
  n >= fewestCases ? inText(name) : `${inText(name)} (${n === 0 ? 'none known' : `${n} known`})`;
/** Under so many nothing is modelled. */
const fewestCases = 20;

/** "the usual 9 factors", "3 factors", "nothing else": what is allowed for, in the question. */
export function factorsText(adjust: readonly string[] | null, usual: number): string {
  const n = adjust === null ? usual : adjust.length;
  if (n === 0) return 'nothing else';
  return `${adjust === null ? 'the usual ' : ''}${counted(n, 'factor')}`;
}

/** How the parts of a question are called. */
export interface Names {
  exposure: (e: Pick<Exposure, 'kind' | 'code'>) => string;
  outcome: (o: Outcome) => string;
  technique: (code: string) => string;
  operator: (id: string) => string;
}

/** The question in one line, for paper and for lists. */
export function questionText(d: Definition, names: Names): string {
  const p = d.population;
  const exposures = d.exposures.map((e) => names.exposure(e) + (e.scale === 'doubling' ? ' (per doubling)' : ''));
  const narrowed = [
    p.gradeFrom || p.gradeTo ? `nuclear grade ${p.gradeFrom ?? 1} to ${p.gradeTo ?? 5}` : '',
    p.from ? `from ${dateText(p.from)}` : '',
    p.to ? `to ${dateText(p.to)}` : '',
    p.operator ? `led by ${names.operator(p.operator)}` : '',
  ].filter(Boolean);
  const cases = p.technique ? `${names.technique(p.technique)} cases` : 'all cases';
  return `Does ${inWords(exposures, 'or')} go with ${names.outcome(d.outcome)}, in ${[cases, ...narrowed].join(', ')}?`;
}

function inWords(list: readonly string[], last: 'or' | 'and'): string {
  if (list.length < 2) return list[0] ?? '';
  return `${list.slice(0, -1).join(', ')} ${last} ${list.at(-1)}`;
}
