const KEY = "property";

/** The property whose zones stand in the side list; kept on this device. */
class Chosen {
  #property = $state(read());

  get property(): string {
    return this.#property;
  }

  set property(id: string) {
    this.#property = id;
    try {
      localStorage.setItem(KEY, id);
    } catch {
      // Without storage it is chosen anew the next time.
    }
  }
}

function read(): string {
  try {
    return localStorage.getItem(KEY) ?? "";
  } catch {
    return "";
  }
}

export const chosen = new Chosen();
