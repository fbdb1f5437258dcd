/** Below this width the window is laid out for a phone in the field. */
export const FIELD_BELOW = 700;
/** From this width on the working has a column of its own. */
export const ASIDE_FROM = 1080;

/** The window's width, as far as the layout minds it. */
class ScreenWidth {
  #field = media(`(max-width: ${FIELD_BELOW - 0.02}px)`, (hit) => (this.field = hit));
  #aside = media(`(min-width: ${ASIDE_FROM}px)`, (hit) => (this.aside = hit));
  /** Laid out for the field. */
  field = $state(this.#field);
  /** There is room for a column at the side. */
  aside = $state(this.#aside);
}

function media(query: string, changed: (hit: boolean) => void): boolean {
  const list = globalThis.matchMedia?.(query);
  list?.addEventListener("change", (event) => changed(event.matches));
  return list?.matches ?? false;
}

export const screenWidth = new ScreenWidth();
