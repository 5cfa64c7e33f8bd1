// The way to a field of the page: what hides it opens, it comes into view, and the focus goes there.
import { within } from './path';

/** The field that somebody is being led to; "" when nobody is. */
export const led = $state({ field: '' });

/** How long a page may take to show a field, ms. */
const patience = 3000;

/** Goes to a field as soon as it is on the page; false when it does not come. */
export async function leadTo(field: string): Promise<boolean> {
  led.field = field;
  const until = performance.now() + patience;
  try {
    while (performance.now() < until && led.field === field) {
      await new Promise((resolve) => requestAnimationFrame(resolve));
      const found = fieldOn(document, field);
      if (!found) continue;
      arrive(found);
      return true;
    }
    return false;
  } finally {
    if (led.field === field) led.field = '';
  }
}

/** The element of a field, or of the first of its parts. */
export function fieldOn(page: ParentNode, field: string): HTMLElement | undefined {
  const all = [...page.querySelectorAll<HTMLElement>('[data-field]')];
  const nameOf = (e: HTMLElement) => e.dataset.field ?? '';
  return all.find((e) => nameOf(e) === field) ?? all.find((e) => within(field, nameOf(e)));
}

function arrive(found: HTMLElement): void {
  const control =
    found.querySelector<HTMLElement>('[data-lead]:enabled') ??
    found.querySelector<HTMLElement>('input[type="radio"]:checked:enabled') ??
    found.querySelector<HTMLElement>('input:enabled, select:enabled, textarea:enabled');
  if (!control) found.tabIndex = -1;
  (control ?? found).focus({ preventScroll: true });
  found.scrollIntoView({ block: 'center' });
  found.dataset.led = '';
  found.addEventListener('focusout', () => delete found.dataset.led, { once: true });
}
