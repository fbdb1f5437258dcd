import { backend, type AnswerOf, type CommandName, type RequestOf } from "../backend";
import type { Progress } from "../generated/types";
import { refresh } from "./query.svelte";

/** Something long that the core does for a screen: how far it is, and stopping it. */
export class LongWork {
  /** How far it is; nothing while none is under way. */
  progress = $state.raw<Progress>();
  /** Whether it was asked to stop and has not said yet what came of it. */
  stopping = $state(false);
  #stop: (() => void) | undefined;

  /** Whether any is under way. */
  get busy(): boolean {
    return this.#stop !== undefined;
  }

  /** Asks for a change; everything shown is asked for again afterwards. */
  async act<K extends CommandName>(name: K, request: RequestOf<K>): Promise<AnswerOf<K>> {
    this.stopping = false;
    const work = backend().callWatched(name, request, (progress) => (this.progress = progress));
    this.#stop = () => work.stop();
    try {
      return await work.answer;
    } finally {
      this.#stop = undefined;
      this.progress = undefined;
      // After whoever waits for it has taken the answer, which may make a question needless.
      setTimeout(refresh);
    }
  }

  /** Has it stopped; what comes of it is told by what {@link act} answers. */
  stop(): void {
    if (!this.#stop) return;
    this.stopping = true;
    this.#stop();
  }
}
