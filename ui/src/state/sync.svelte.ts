import { backend, Refusal } from "../backend";
import type { SyncStatus } from "../generated/types";
import { ask, refresh } from "./query.svelte";

/** While something is on its way, how far it is is asked so often. */
const PROGRESS_MS = 1_000;
/** Several things that arrive together are shown together. */
const GATHER_MS = 120;

/** How syncing stands, and the news of other devices. */
class Sync {
  status = $state.raw<SyncStatus>();
  problem = $state.raw<Refusal>();
  /** Counts the news about devices; read inside an effect it follows them. */
  heard = $state(0);
  #stop: (() => void) | undefined;
  #timer: ReturnType<typeof setTimeout> | undefined;
  #records = false;

  /** Begins to listen; once the notebook is open. */
  begin(): void {
    this.#stop?.();
    this.#stop = backend().onNews((news) => {
      this.#records ||= news.records;
      this.#later(GATHER_MS);
    });
    void this.#read();
  }

  #later(wait: number): void {
    this.#timer ??= setTimeout(() => {
      this.#timer = undefined;
      void this.#tell();
    }, wait);
  }

  async #tell(): Promise<void> {
    if (this.#records) {
      this.#records = false;
      refresh();
    }
    this.heard += 1;
    await this.#read();
  }

  async #read(): Promise<void> {
    try {
      this.status = await ask("sync.status", {});
      this.problem = undefined;
    } catch (thrown) {
      this.problem = Refusal.from(thrown);
    }
    if (this.status?.state === "working") this.#later(PROGRESS_MS);
  }
}

export const sync = new Sync();
