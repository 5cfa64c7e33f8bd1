import AxeBuilder from '@axe-core/playwright';
import { expect, type Page } from '@playwright/test';

const standards = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'];

/** Fails when the page as it is now has a serious or critical violation of WCAG 2.2 AA that axe can find. */
export async function expectAccessible(page: Page, name: string): Promise<void> {
  // What has gone halfway under a head that stays in sight would count as a small target, by where the page happens to stand.
  await page.evaluate(() => window.scrollTo(0, 0));
  const found = await new AxeBuilder({ page }).withTags(standards).analyze();
  const grave = found.violations
    .filter((v) => v.impact === 'serious' || v.impact === 'critical')
    .map(
      (v) => `${v.id} (${v.impact}): ${v.nodes.map((n) => `${n.target.join(' ')}: ${n.failureSummary}`).join('\n  ')}`,
    );
  expect(grave, `accessibility of ${name}`).toEqual([]);
}
