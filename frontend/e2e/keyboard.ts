// The keyboard alone: the Tab key goes from control to control as a person's would, and what has the focus is asked for
// by the name that is read out.
import { expect, type Page } from '@playwright/test';

/** What has the focus, by its name: of a radio button the name of its group, "" for nothing. */
function focused(page: Page): Promise<string> {
  return page.evaluate(() => {
    const on = document.activeElement;
    if (!(on instanceof HTMLElement) || on === document.body) return '';
    const text = (node: Element | null | undefined) => (node?.textContent ?? '').replace(/\s+/g, ' ').trim();
    if (on instanceof HTMLInputElement && (on.type === 'radio' || on.type === 'checkbox')) {
      const legend = text(on.closest('fieldset')?.querySelector('legend'));
      if (legend) return legend;
    }
    const label = on.getAttribute('aria-label');
    if (label) return label;
    const labels = (on as HTMLInputElement).labels;
    return labels && labels.length > 0 ? text(labels[0]) : text(on);
  });
}

/** Presses Tab until the control of that name has the focus; each name passed is told if it never does. */
export async function tabTo(page: Page, name: string, most = 150): Promise<void> {
  const passed: string[] = [];
  for (let i = 0; i < most; i++) {
    await page.keyboard.press('Tab');
    const now = await focused(page);
    if (now.startsWith(name)) return;
    passed.push(now);
  }
  expect(passed, `Tab never came to "${name}"`).toContain(name);
}

/** Goes to a field and types. */
export async function type(page: Page, name: string, text: string): Promise<void> {
  await tabTo(page, name);
  await page.keyboard.type(text);
}

/** Goes to a choice, a list or a line that opens, and presses one key. */
export async function press(page: Page, name: string, key: string): Promise<void> {
  await tabTo(page, name);
  await page.keyboard.press(key);
}
