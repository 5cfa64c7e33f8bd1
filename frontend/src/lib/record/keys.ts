// Which of a few choices a key means.

interface Option {
  value: string | number;
  label: string;
}

/**
 * The place of the option that a key chooses, -1 for none: a digit is the value of a grade, or else the place counted
 * from 1; a letter is the first one of a label, where only one label begins with it.
 */
export function placeOf(key: string, options: readonly Option[]): number {
  if (/^\d$/.test(key)) {
    const grades = options.some((o) => typeof o.value === 'number');
    if (grades) return options.findIndex((o) => o.value === Number(key));
    return Number(key) >= 1 && Number(key) <= options.length ? Number(key) - 1 : -1;
  }
  if (!/^\p{L}$/u.test(key)) return -1;
  const begins = options.filter((o) => o.label.toLowerCase().startsWith(key.toLowerCase()));
  const [only] = begins;
  return begins.length === 1 && only ? options.indexOf(only) : -1;
}
