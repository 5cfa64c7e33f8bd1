// Filling in an assessment: which form, whom, in which order. Pure.
import type { Assessment, AssessmentForm, AssessmentItem, Mark } from '../../lib/api/teaching';
import type { Operator } from '../../lib/api/types';

/** The newest version of each form that is not retired, the unit's own first. */
export function offeredForms(forms: readonly AssessmentForm[]): AssessmentForm[] {
  const newest = new Map<string, AssessmentForm>();
  for (const form of forms) if (form.version > (newest.get(form.id)?.version ?? 0)) newest.set(form.id, form);
  return [...newest.values()].filter((f) => !f.retired).sort((a, b) => Number(a.shipped) - Number(b.shipped));
}

export const formOf = (forms: readonly AssessmentForm[], { form }: Pick<Assessment, 'form'>) =>
  forms.find((f) => f.id === form.id && f.version === form.version);

/** Whom a person may assess: the supervisor everybody who took part, the others themselves. Operators stand first. */
export function subjectsFor(operators: readonly Operator[], person: string): string[] {
  const mine = operators.find((o) => o.userId === person);
  if (!mine) return [];
  if (mine.role !== 'supervisor') return [person];
  const order = ['operator', 'assistant', 'supervisor'];
  return [...operators].sort((a, b) => order.indexOf(a.role) - order.indexOf(b.role)).map((o) => o.userId);
}

/** Neighbouring items about one step, under its name; items about no step are about the whole operation. */
export function groupsOf(form: AssessmentForm, stepName: (code: string) => string) {
  const groups: { step: string; name: string; items: AssessmentItem[] }[] = [];
  for (const item of form.items) {
    const step = item.step ?? '';
    const last = groups.at(-1);
    if (last?.step === step) last.items.push(item);
    else groups.push({ step, name: step ? stepName(step) : 'The operation as a whole', items: [item] });
  }
  return groups;
}

/** What is being judged, item by item; value undefined is "not seen". */
export type Judging = Record<string, { value: number | undefined; note: string }>;

export function judgingOf(form: AssessmentForm, marks: readonly Mark[]): Judging {
  return Object.fromEntries(
    form.items.map(({ code }) => {
      const mark = marks.find((m) => m.item === code);
      return [code, { value: mark?.value, note: mark?.note ?? '' }];
    }),
  );
}

/** The marks in the order of the form; what was not seen has none. */
export function marksOf(form: AssessmentForm, judging: Judging): Mark[] {
  return form.items.flatMap(({ code }) => {
    const judged = judging[code];
    if (judged?.value === undefined) return [];
    const note = judged.note.trim();
    return [{ item: code, value: judged.value, ...(note ? { note } : {}) }];
  });
}

/** Items whose note would be lost, since they are marked as not seen. */
export const notesWithoutMark = (form: AssessmentForm, judging: Judging) =>
  form.items.filter(({ code }) => judging[code]?.value === undefined && judging[code]?.note.trim());
