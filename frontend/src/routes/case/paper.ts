// A report is a page of its own. Here it is read apart, so that it can stand inside this page without touching it.

export interface Paper {
  /** Rules for a shadow tree whose wrapper has the class "paper". */
  style: string;
  body: Node[];
}

/**
 * Takes a report's page apart. Its style is cut out of the text before that is parsed, since a parsed page would try to
 * apply it. Scripts of a parsed page never run; here they are dropped all the same.
 */
export function readPaper(html: string): Paper {
  const styles: string[] = [];
  const rest = html.replace(/<style\b[^>]*>([\s\S]*?)<\/style\s*>/gi, (_, style: string) => {
    styles.push(style);
    return '';
  });
  const page = new DOMParser().parseFromString(rest, 'text/html');
  for (const unwanted of page.querySelectorAll('script, iframe, object, embed, link, meta, base, style'))
    unwanted.remove();
  // Links of the report lead this page; as a page of its own they would have to break out of a frame.
  for (const link of page.querySelectorAll('a[target]')) link.removeAttribute('target');
  // This page has its own main part already.
  for (const main of page.querySelectorAll('main')) {
    const plain = page.createElement('div');
    for (const { name, value } of main.attributes) plain.setAttribute(name, value);
    plain.append(...main.childNodes);
    main.replaceWith(plain);
  }
  return { style: scoped(styles.join('\n')), body: [...page.body.childNodes] };
}

/** Rules for the whole page become rules for the wrapper. */
export function scoped(style: string): string {
  return style.replace(/(?<![\w.#-])(?:html|body|:root)(?![\w-])/g, '.paper');
}
