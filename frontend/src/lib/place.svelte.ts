// Where the page is: the address bar as state, and the way to another place.

class Place {
  path = $state(location.pathname);
  search = $state(location.search);
  hash = $state(location.hash);
  /** The last move only renamed the place one is at: the focus stays where it is. */
  quiet = $state(false);

  #guards = new Set<() => string>();

  constructor() {
    addEventListener('popstate', () => {
      this.quiet = false;
      this.#read();
    });
    addEventListener('hashchange', () => this.#read());
    addEventListener('beforeunload', (event) => {
      if (this.#unsaved()) event.preventDefault();
    });
  }

  /** Goes to an address of this page; replace leaves no trace in the history. */
  go(to: string, replace = false): void {
    const moved = new URL(to, location.href).pathname !== location.pathname;
    this.quiet = replace;
    if (replace) history.replaceState(null, '', to);
    else history.pushState(null, '', to);
    this.#read();
    if (moved && !replace) scrollTo(0, 0);
  }

  /** Asks before the tab is closed while `unsaved` gives a reason. The answer takes the guard away. */
  guard(unsaved: () => string): () => void {
    this.#guards.add(unsaved);
    return () => this.#guards.delete(unsaved);
  }

  #unsaved(): string {
    for (const guard of this.#guards) {
      const why = guard();
      if (why) return why;
    }
    return '';
  }

  #read(): void {
    this.path = location.pathname;
    this.search = location.search;
    this.hash = location.hash;
  }
}

export const place = new Place();

/** Follows plain clicks on links of this page without loading it again; listen with it on the document. */
export function followLink(event: MouseEvent): void {
  if (event.defaultPrevented || event.button !== 0 || event.metaKey || event.ctrlKey || event.shiftKey || event.altKey)
    return;
  const link = event.target instanceof Element ? event.target.closest('a[href]') : null;
  if (!(link instanceof HTMLAnchorElement) || link.target || link.hasAttribute('download')) return;
  const to = new URL(link.href);
  if (to.origin !== location.origin || to.pathname.startsWith('/api/')) return;
  event.preventDefault();
  place.go(to.pathname + to.search + to.hash);
}
