import { newId } from '../ids';

const prefix = 'zonule-page-';

/** The name of this page among the pages of this browser. */
export const pageName = prefix + newId();

// Held as long as the page lives; a browser without locks lets every page take over every unsent edit, which is safe
// because an edit sent twice counts once.
const locks: LockManager | null | undefined = navigator.locks;
void locks?.request(pageName, () => new Promise(() => {}));

/** Tells for a page name whether that page is closed. */
export async function closedPages(): Promise<(page: string) => boolean> {
  if (!locks) return () => true;
  const { held = [] } = await locks.query();
  const open = new Set(held.map((lock) => lock.name));
  return (page) => !open.has(page);
}
