import { useLocale } from "../text";

/** How the window looks. */
export type Look = "auto" | "light" | "dark" | "sun";

/** The looks in the order they are offered. */
export const LOOKS: readonly Look[] = ["auto", "light", "dark", "sun"];

const KEY = "device";

interface Kept {
  look: Look;
  /** Empty for the system's own. */
  locale: string;
}

/** What is kept on this device and in no notebook. */
class Device {
  #kept = $state<Kept>(read());
  /** Whether it is a phone, as its shell says. */
  phone = $state(false);

  constructor() {
    this.#apply();
  }

  get look(): Look {
    return this.#kept.look;
  }

  set look(look: Look) {
    this.#kept.look = look;
    this.#keep();
  }

  get locale(): string {
    return this.#kept.locale;
  }

  set locale(tag: string) {
    this.#kept.locale = tag;
    this.#keep();
  }

  #keep(): void {
    try {
      localStorage.setItem(KEY, JSON.stringify(this.#kept));
    } catch {
      // Without storage the choice lasts until the window closes, which the person sees.
    }
    this.#apply();
  }

  #apply(): void {
    useLocale(this.#kept.locale || undefined);
    const root = globalThis.document?.documentElement;
    if (!root) return;
    if (this.#kept.look === "auto") delete root.dataset.theme;
    else root.dataset.theme = this.#kept.look;
  }
}

function read(): Kept {
  let found: Partial<Kept> = {};
  try {
    found = (JSON.parse(localStorage.getItem(KEY) ?? "{}") ?? {}) as Partial<Kept>;
  } catch {
    // Nothing readable is kept: start from the system's own.
  }
  return {
    look: LOOKS.includes(found.look as Look) ? (found.look as Look) : "auto",
    locale: typeof found.locale === "string" ? found.locale : "",
  };
}

export const device = new Device();
