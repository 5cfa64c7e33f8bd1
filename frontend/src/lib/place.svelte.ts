// Where the page is: the address bar as state, and the way to another place.

/** Why one should not leave for a place, in a sentence; "" when one may. */
type Guard = (to: string) => string;

class Place {
  path = $state(location.pathname);
  search = $state(location.search);
  hash = $state(location.hash);
  /** The last move only renamed the place one is at: the focus stays where it is. */
  quiet = $state(false);

  #guards = new Set<Guard>();

  constructor() {
    addEventListener('popstate', () => this.#back());
    addEventListener('hashchange', () => this.#read());
    addEventListener('beforeunload', (event) => {
      if (this.#reason('')) event.preventDefault();
    });
  }

  /** Goes to an address of this page; replace leaves no trace in the history. */
  go(to: string, replace = false): void {
    const path = new URL(to, location.href).pathname;
    const moved = path !== location.pathname;
    if (moved && !replace && !this.#mayLeave(path)) return;
    this.quiet = replace;
    if (replace) history.replaceState(null, '', to);
    else history.pushState(null, '', to);
    this.#read();
    if (moved && !replace) scrollTo(0, 0);
  }

  /** Asks before leaving while the guard gives a reason; closing the tab asks with "". The answer takes the guard away. */
  guard(guard: Guard): () => void {
    this.#guards.add(guard);
    return () => this.#guards.delete(guard);
  }

  #back(): void {
    if (location.pathname !== this.path && !this.#mayLeave(location.pathname)) {
      history.pushState(null, '', this.path + this.search + this.hash);
      return;
    }
    this.quiet = false;
    this.#read();
  }

  #mayLeave(to: string): boolean {
    const why = this.#reason(to);
    return !why || confirm(`${why} Leave without it?`);
  }

  #reason(to: string): string {
    for (const guard of this.#guards) {
      const why = guard(to);
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
  // The path also leads into the shadow tree in which a report is shown.
  const target = event.composedPath()[0];
  const link = target instanceof Element ? target.closest('a[href]') : null;
  if (!(link instanceof HTMLAnchorElement) || link.target || link.hasAttribute('download')) return;
  const to = new URL(link.href);
  if (to.origin !== location.origin || to.pathname.startsWith('/api/')) return;
  event.preventDefault();
  place.go(to.pathname + to.search + to.hash);
}
