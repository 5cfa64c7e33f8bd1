// What is compared, as it stands in the address, so that a view can be sent to a colleague and the way back leads to it.
import type { CompareQuestion, Item, Wholeness } from '../../lib/api/compare';

/** The question with the row that is open and whose curve it shows. */
export interface View extends CompareQuestion {
  /** The key of an item; "" when no row is open. */
  open: string;
  /** Whose learning curve; "" for the first lane. */
  operator: string;
}

export const emptyView: View = {
  list: '',
  technique: 'phaco',
  from: '',
  to: '',
  gradeFrom: 0,
  gradeTo: 0,
  part: '',
  open: '',
  operator: '',
};

const parts: readonly Wholeness[] = ['all', 'whole', 'part'];
const texts = ['list', 'technique', 'from', 'to', 'open', 'operator'] as const;
const grades = ['gradeFrom', 'gradeTo'] as const;

/** Reads a view out of the search part of an address. What is not understood is left out. */
export function readView(search: string): View {
  const given = new URLSearchParams(search);
  const view: View = { ...emptyView };
  for (const name of texts) view[name] = given.get(name) ?? emptyView[name];
  for (const name of grades) {
    const grade = Number(given.get(name) ?? 0);
    view[name] = Number.isInteger(grade) && grade >= 1 && grade <= 5 ? grade : 0;
  }
  view.part = parts.find((p) => p === given.get('part') && p !== 'all') ?? '';
  return view;
}

/** The search part of the address for a view; "" for the empty one. */
export function writeView(view: View): string {
  const given = new URLSearchParams();
  for (const name of texts) if (view[name] !== emptyView[name]) given.set(name, view[name]);
  for (const name of grades) if (view[name] > 0) given.set(name, String(view[name]));
  if (view.part) given.set('part', view.part);
  const text = given.toString();
  return text && `?${text}`;
}

/** The question without what is open. */
export function questionOf({ open: _, operator: __, ...question }: View): CompareQuestion {
  return question;
}

/** "step:capsulorhexis", "stage:nucleus" or "operation". */
export const itemKey = (item: Pick<Item, 'kind' | 'code'>) => (item.code ? `${item.kind}:${item.code}` : item.kind);
