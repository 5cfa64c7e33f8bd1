// Light, dark, or what the system says. The choice stays in this browser.

export type Theme = 'system' | 'light' | 'dark';
export const themes: readonly Theme[] = ['system', 'light', 'dark'];

const key = 'zonule.theme';
const dark = matchMedia('(prefers-color-scheme: dark)');

function stored(): Theme {
  try {
    const value = localStorage.getItem(key);
    return themes.find((t) => t === value) ?? 'system';
  } catch {
    return 'system';
  }
}

class ThemeChoice {
  chosen = $state<Theme>(stored());
  #darkened = false;

  /** Shows the choice, and follows the system while it is "system". */
  start(): void {
    dark.addEventListener('change', () => this.#show());
    // Paper is light, whatever the screen is.
    addEventListener('beforeprint', () => {
      document.documentElement.dataset.theme = 'light';
    });
    addEventListener('afterprint', () => this.#show());
    this.#show();
  }

  choose(theme: Theme): void {
    this.chosen = theme;
    try {
      localStorage.setItem(key, theme);
    } catch {
      // A browser that keeps nothing still shows the choice until the page is closed.
    }
    this.#show();
  }

  /** Shows everything dark, such as for a projector, until the answer is called. */
  darken(): () => void {
    this.#darkened = true;
    this.#show();
    return () => {
      this.#darkened = false;
      this.#show();
    };
  }

  #show(): void {
    const isDark = this.#darkened || this.chosen === 'dark' || (this.chosen === 'system' && dark.matches);
    document.documentElement.dataset.theme = isDark ? 'dark' : 'light';
  }
}

export const theme = new ThemeChoice();
