// What this browser remembers to spare typing. Only a code, never anything about a patient.

const key = (userId: string) => `zonule.anaesthesia.${userId}`;

/** The anaesthesia that the person used last, if any. */
export function lastAnaesthesia(userId: string): string | undefined {
  try {
    return localStorage.getItem(key(userId)) ?? undefined;
  } catch {
    return undefined;
  }
}

export function rememberAnaesthesia(userId: string, code: string): void {
  try {
    localStorage.setItem(key(userId), code);
  } catch {
    // A browser that keeps nothing just offers no default.
  }
}
