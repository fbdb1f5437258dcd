import { backend, Refusal, type AnswerOf, type CommandName, type RequestOf } from "../backend";

/** Counts what was written, so that whatever is shown is asked for again. */
let written = $state(0);

/** An answer of the core that stays up to date while it is shown. */
export class Query<K extends CommandName> {
  /** The latest answer; the old one stays while a new one is on its way. */
  answer = $state.raw<AnswerOf<K>>();
  /** Why there is none. */
  problem = $state.raw<Refusal>();
  /** Whether a question is open. */
  waiting = $state(true);
  #asked = 0;

  /** @param request `undefined` asks nothing yet; whatever it reads is followed */
  constructor(
    readonly name: K,
    request: () => RequestOf<K> | undefined,
  ) {
    $effect(() => {
      void written;
      const given = request();
      if (given !== undefined) void this.#ask(given);
    });
  }

  /** Waits no longer for the open question: its answer is dropped when it comes. */
  drop(): void {
    this.#asked += 1;
    this.waiting = false;
  }

  async #ask(request: RequestOf<K>): Promise<void> {
    const mine = ++this.#asked;
    this.waiting = true;
    try {
      const answer = await backend().call(this.name, request);
      if (mine !== this.#asked) return;
      this.answer = answer;
      this.problem = undefined;
    } catch (thrown) {
      if (mine !== this.#asked) return;
      this.problem = Refusal.from(thrown);
    }
    this.waiting = false;
  }
}

/** Asks once, outside any screen's life; rejects with a {@link Refusal}. */
export function ask<K extends CommandName>(name: K, request: RequestOf<K>): Promise<AnswerOf<K>> {
  return backend().call(name, request);
}

/** Asks for a change; everything shown is asked for again afterwards. */
export async function act<K extends CommandName>(name: K, request: RequestOf<K>): Promise<AnswerOf<K>> {
  try {
    return await backend().call(name, request);
  } finally {
    // Also after a refusal: it may say that what is shown is out of date.
    written += 1;
  }
}

/** How often something was written; read inside an effect it asks again after each. */
export function epoch(): number {
  return written;
}

/** Asks again for everything shown, after something changed outside. */
export function refresh(): void {
  written += 1;
}
