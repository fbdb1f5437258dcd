/** Where the person is: the address after the hash, split into its parts. */
export interface Address {
  /** Decoded steps, such as `["bench", "cations"]`. */
  readonly steps: readonly string[];
  /** What follows the question mark. */
  readonly given: Readonly<Record<string, string>>;
}

/** Reads what stands after the hash. */
export function readAddress(hash: string): Address {
  const [path = "", query = ""] = hash.replace(/^#?\/?/, "").split("?");
  return {
    steps: path.split("/").filter(Boolean).map(decode),
    given: Object.fromEntries(new URLSearchParams(query)),
  };
}

/** Writes an address as a link's target. */
export function href(...steps: string[]): string {
  return `#/${steps.map(encodeURIComponent).join("/")}`;
}

function decode(step: string): string {
  try {
    return decodeURIComponent(step);
  } catch {
    return step;
  }
}

class Router {
  #address = $state.raw<Address>(readAddress(globalThis.location?.hash ?? ""));

  constructor() {
    globalThis.addEventListener?.("hashchange", () => {
      this.#address = readAddress(globalThis.location.hash);
    });
  }

  /** The address in force. */
  get address(): Address {
    return this.#address;
  }

  /** Goes there; the way back stays open. */
  go(...steps: string[]): void {
    globalThis.location.hash = href(...steps);
    this.#address = readAddress(globalThis.location.hash);
  }

  /** Goes there in place of where the person is. */
  replace(...steps: string[]): void {
    globalThis.history.replaceState(null, "", href(...steps));
    this.#address = readAddress(globalThis.location.hash);
  }
}

export const router = new Router();
