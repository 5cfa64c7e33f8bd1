// The filter of the list as it stands in the address, so that the way back leads to the same list.
import type { CaseFilter, CaseSort, CaseState } from '../../lib/api/case';

export const emptyFilter: CaseFilter = {
  q: '',
  eye: '',
  technique: '',
  operator: '',
  from: '',
  to: '',
  complication: '',
  state: '',
  sort: 'date',
  descending: true,
};

/** Each order begins at the end that people look for first. */
export const sorts: readonly { sort: CaseSort; name: string; descending: boolean }[] = [
  { sort: 'date', name: 'Date', descending: true },
  { sort: 'pseudonym', name: 'Pseudonym', descending: false },
  { sort: 'grade', name: 'Nuclear grade', descending: true },
  { sort: 'duration', name: 'Operation time', descending: true },
];
export const states: readonly { value: CaseState; label: string }[] = [
  { value: '', label: 'All' },
  { value: 'to-record', label: 'To record' },
  { value: 'to-tag', label: 'To tag' },
  { value: 'follow-up-due', label: 'Follow-up due' },
  { value: 'to-sign', label: 'To sign' },
  { value: 'signed', label: 'Signed' },
];

/** Reads a filter out of the search part of an address. Unknown words are left out. */
export function readFilter(search: string): CaseFilter {
  const given = new URLSearchParams(search);
  const text = (name: string) => given.get(name) ?? '';
  const order = sorts.find((s) => s.sort === given.get('sort')) ?? sorts[0];
  const sort = order?.sort ?? 'date';
  return {
    ...emptyFilter,
    q: text('q'),
    eye: text('eye'),
    technique: text('technique'),
    operator: text('operator'),
    from: text('from'),
    to: text('to'),
    complication: text('complication'),
    state: states.find((s) => s.value === given.get('state'))?.value ?? '',
    sort,
    descending: given.has('order') ? given.get('order') === 'descending' : (order?.descending ?? true),
  };
}

/** The search part of the address for a filter; "" for the empty one. */
export function writeFilter(filter: CaseFilter): string {
  const given = new URLSearchParams();
  for (const name of ['q', 'eye', 'technique', 'operator', 'from', 'to', 'complication', 'state'] as const) {
    if (filter[name]) given.set(name, filter[name]);
  }
  if (filter.sort !== 'date') given.set('sort', filter.sort);
  const usual = sorts.find((s) => s.sort === filter.sort)?.descending ?? true;
  if (filter.descending !== usual) given.set('order', filter.descending ? 'descending' : 'ascending');
  const text = given.toString();
  return text && `?${text}`;
}

/** How many filters narrow the list, the text sought aside. */
export function narrowing(filter: CaseFilter): number {
  return [filter.eye, filter.technique, filter.operator, filter.from, filter.to, filter.complication].filter(Boolean)
    .length;
}
