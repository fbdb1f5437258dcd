/**
 * What was typed into forms and not yet saved, kept until it is: closing the window in mid-form
 * loses nothing.
 */

const PREFIX = "draft:";
/** Long enough that no keypress waits for the disk, short enough that a closed window loses nothing. */
const WAIT_MS = 200;

const waiting = new Map<string, () => unknown>();
let timer: ReturnType<typeof setTimeout> | undefined;

/** A form's values, and whether they were brought back from an earlier visit. */
export class Draft<T extends object> {
  /** The values; bind inputs to its members. */
  values: T = $state() as T;
  /** Whether something typed earlier was found. */
  restored = $state(false);
  readonly #key: string;
  readonly #empty: () => T;

  /** @param name unique to the form and the record it writes */
  constructor(name: string, empty: () => T) {
    this.#key = PREFIX + name;
    this.#empty = empty;
    const kept = read<T>(this.#key);
    this.values = kept ? { ...empty(), ...kept } : empty();
    this.restored = kept !== undefined;
  }

  /** Call inside an effect: keeps every change from then on. */
  watch(): void {
    const now = JSON.stringify(this.values);
    if (now === JSON.stringify(this.#empty())) {
      forget(this.#key);
      return;
    }
    later(this.#key, () => now);
  }

  /** After a save, or when the person starts over. */
  clear(): void {
    forget(this.#key);
    this.values = this.#empty();
    this.restored = false;
  }
}

/** Writes at once whatever waits. */
export function keepDrafts(): void {
  clearTimeout(timer);
  timer = undefined;
  for (const [key, text] of waiting) {
    try {
      localStorage.setItem(key, text() as string);
    } catch {
      // A full or absent store: the values are still on the screen.
    }
  }
  waiting.clear();
}

function later(key: string, text: () => unknown): void {
  waiting.set(key, text);
  timer ??= setTimeout(keepDrafts, WAIT_MS);
}

function forget(key: string): void {
  waiting.delete(key);
  try {
    localStorage.removeItem(key);
  } catch {
    // Nothing was kept there.
  }
}

function read<T>(key: string): T | undefined {
  try {
    const text = localStorage.getItem(key);
    const value: unknown = text === null ? undefined : JSON.parse(text);
    return typeof value === "object" && value !== null ? (value as T) : undefined;
  } catch {
    return undefined;
  }
}

globalThis.addEventListener?.("pagehide", keepDrafts);
globalThis.document?.addEventListener("visibilitychange", keepDrafts);
