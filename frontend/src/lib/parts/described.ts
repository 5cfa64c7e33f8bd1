/** The ids of what describes a control: its hint, and what is wrong with it or else doubtful. */
export function described(id: string, hint: string, error: string, doubt: string): string | undefined {
  return [hint && `${id}-hint`, error ? `${id}-error` : doubt && `${id}-doubt`].filter(Boolean).join(' ') || undefined;
}
