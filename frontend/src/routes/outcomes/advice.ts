// Nothing is modelled: which choice would bring how many cases, or where the missing can be recorded.
import type { Definition, OutcomeChoices, StudyResult } from '../../lib/api/study';
import { counted } from '../../lib/chart/number';
import { everybody } from './question';
import { capital, inText } from './words';

export interface Advice {
  text: string;
  /** The question with that choice made. */
  ask?: Definition;
  /** Where to go instead. */
  to?: string;
  /** What the button or link says. */
  action: string;
}

/** Under so many nothing is modelled, so that it is no help to ask for it. */
const fewestCases = 20;
const fewestEvents = 10;

/** At most five choices, the ones that bring most first; a wider question stands before another question. */
export function adviceOn(r: StudyResult, choices: OutcomeChoices): Advice[] {
  const d = r.definition;
  return [
    ...wider(d, choices),
    ...fewerFactors(r),
    ...otherVisits(d, choices),
    ...otherComplications(d, choices),
    ...toRecord(r),
  ].slice(0, 5);
}

/** The population holds only a part of the unit's cases. */
function wider(d: Definition, choices: OutcomeChoices): Advice[] {
  const p = d.population;
  const narrowed = p.from || p.to || p.gradeFrom !== null || p.gradeTo !== null || p.operator;
  if (!narrowed) return [];
  return [
    {
      text: `The question is about a part of the unit’s ${counted(choices.cases, 'case')}: drop the dates, grades and operator.`,
      ask: { ...d, population: { ...everybody, technique: p.technique, withRuptures: p.withRuptures } },
      action: 'Ask about the whole unit',
    },
  ];
}

/** Cases fall out because a factor that was chosen is not recorded in them. */
function fewerFactors(r: StudyResult): Advice[] {
  const factors = r.adjustedFor.map((a) => ({
    ...a,
    cases: r.fellOut.find((f) => f.reason === `Not recorded: ${a.name}.`)?.cases ?? 0,
  }));
  const kept = factors.filter((f) => f.cases > 0).sort((a, b) => b.cases - a.cases);
  const worst = kept[0];
  if (!worst) return [];
  return [
    {
      text: `${counted(worst.cases, 'case')} fell out because ${worst.name} is not recorded. Without that factor they count, and it is not allowed for.`,
      ask: { ...r.definition, adjust: r.adjustedFor.map((a) => a.code).filter((code) => code !== worst.code) },
      action: `Leave out ${worst.name}`,
    },
  ];
}

/** The same outcome is known of more cases at another visit. */
function otherVisits(d: Definition, choices: OutcomeChoices): Advice[] {
  const windows = choices.outcomes.find((o) => o.kind === d.outcome.kind)?.windows ?? [];
  const here = windows.find((w) => w.window === d.outcome.window)?.n ?? 0;
  const most = windows.reduce((a, b) => (b.n > a.n ? b : a), { window: '', name: '', n: here });
  if (!most.window || most.window === d.outcome.window || most.n < fewestCases) return [];
  return [
    {
      text: `At ${inText(most.name)} it is known of ${counted(most.n, 'case')}, at the visit chosen of ${here}.`,
      ask: { ...d, outcome: { ...d.outcome, window: most.window } },
      action: `Ask about ${inText(most.name)}`,
    },
  ];
}

/** Another complication happened more often. */
function otherComplications(d: Definition, choices: OutcomeChoices): Advice[] {
  if (d.outcome.kind !== 'complication') return [];
  const all = choices.outcomes.find((o) => o.kind === 'complication')?.complications ?? [];
  const here = all.find((c) => c.code === d.outcome.complication)?.events ?? 0;
  const told = all.map((c) => ({ ...c, events: c.events ?? 0 }));
  const most = told.reduce((a, b) => (b.events > a.events ? b : a), { code: '', name: '', events: here });
  if (!most.code || most.events < fewestEvents) return [];
  return [
    {
      text: `${capital(most.name)} is recorded in ${counted(most.events, 'case')}.`,
      ask: { ...d, outcome: { ...d.outcome, complication: most.code } },
      action: `Ask about ${inText(most.name)}`,
    },
  ];
}

/** What can be recorded after all. */
function toRecord(r: StudyResult): Advice[] {
  const lacking = (pattern: RegExp) =>
    r.fellOut.filter((f) => pattern.test(f.reason)).reduce((sum, f) => sum + f.cases, 0);
  const untagged = lacking(/not tagged/);
  const unseen = lacking(/no visit of that window|at the visit/);
  const list: Advice[] = [];
  if (untagged > 0) {
    list.push({
      text: `${counted(untagged, 'case')} fell out because the recording is not tagged.`,
      to: '/cases?state=to-tag',
      action: 'Cases to tag',
    });
  }
  if (unseen > 0) {
    list.push({
      text: `${counted(unseen, 'case')} fell out for want of a figure at the visit.`,
      to: '/follow-up',
      action: 'Follow-up due',
    });
  }
  return list;
}
