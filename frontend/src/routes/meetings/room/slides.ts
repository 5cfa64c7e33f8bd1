// The slides of a meeting in order, and which of them a place shows.
import type { AgendaItem, MeetingSheet, Moment, Place } from '../../../lib/api/meeting';
import { type SectionCode, sections } from '../pack';

/** The opening of an item, a text of its pack, or a moment of its recording. */
export interface Slide {
  key: string;
  item: AgendaItem;
  section: SectionCode | '';
  moment: Moment | undefined;
}

const before: readonly SectionCode[] = ['situation', 'background'];

/** Opening, situation and background, the moments, assessment and recommendation; a text that nobody wrote is left out. */
export function slidesOf(item: AgendaItem): Slide[] {
  const texts = sections
    .map((s) => s.code)
    .filter((code) => item.pack[code].trim() !== '')
    .map((section) => slide(item, section, undefined));
  return [
    slide(item, '', undefined),
    ...texts.filter((t) => before.includes(t.section as SectionCode)),
    ...item.pack.moments.map((m) => slide(item, '', m)),
    ...texts.filter((t) => !before.includes(t.section as SectionCode)),
  ];
}

function slide(item: AgendaItem, section: Slide['section'], moment: Moment | undefined): Slide {
  return { key: `${item.id}/${section || (moment?.id ?? '')}`, item, section, moment };
}

/** Every slide of the items that are in `within`, in the order of the agenda. */
export function deck(sheet: MeetingSheet, within?: readonly string[]): Slide[] {
  return sheet.agenda.filter((i) => !within || within.includes(i.id)).flatMap(slidesOf);
}

/** The slide that a place shows. What is gone is shown by the opening of its item; undefined when the item is gone. */
export function slideAt(sheet: MeetingSheet, place: Place): Slide | undefined {
  const item = sheet.agenda.find((i) => i.id === place.itemId);
  if (!item) return undefined;
  const slides = slidesOf(item);
  const named = place.slide
    ? slides.find((s) => s.section === place.slide)
    : slides.find((s) => s.moment !== undefined && s.moment.id === place.momentId);
  return named ?? slides[0];
}

/** The place that shows a slide, its recording standing at the moment. */
export function placeOf(to: Slide): Place {
  return {
    seq: 0,
    itemId: to.item.id,
    momentId: to.moment?.id ?? '',
    slide: to.section,
    part: to.moment?.part ?? 0,
    ms: to.moment?.ms ?? 0,
    playing: false,
    rate: 1,
    at: 0,
    itemAt: 0,
    presenterId: '',
    state: 'running',
  };
}

/** The slide some slides on (or back, when negative); undefined beyond the ends. From nowhere, the first. */
export function onFrom(slides: readonly Slide[], from: Slide | undefined, by: number): Slide | undefined {
  if (!from) return slides[0];
  const at = slides.findIndex((s) => s.key === from.key);
  return at < 0 ? slides[0] : slides[at + by];
}

/** The opening of the next item, or of the one before. */
export function itemFrom(slides: readonly Slide[], from: Slide | undefined, by: 1 | -1): Slide | undefined {
  const openings = slides.filter((s) => s.section === '' && !s.moment);
  if (!from) return openings[0];
  const at = openings.findIndex((s) => s.item.id === from.item.id);
  return at < 0 ? openings[0] : openings[at + by];
}

/** What a slide is called: in lists, and for who listens. */
export function slideName(s: Slide): string {
  if (s.section) return sections.find((x) => x.code === s.section)?.name ?? s.section;
  if (!s.moment) return [s.item.label, s.item.title].filter(Boolean).join(': ');
  const at = s.item.pack.moments.findIndex((m) => m.id === s.moment?.id) + 1;
  return `Moment ${at} of ${s.item.pack.moments.length}: ${s.moment.line}`;
}
