import { Refusal } from "../backend";
import type { UndoEntry } from "../generated/types";
import { text } from "../text";
import { LongWork } from "./long-work.svelte";

/** The latest change that can be taken back, shown in one bar for the whole window. */
class Undo {
  /** What was done, in words. */
  said = $state("");
  /** Whether it can be taken back; otherwise it is only reported. */
  offered = $state(false);
  /** The taking back, while it is under way. */
  readonly work = new LongWork();

  /** Shows the change that was just made, and the way back. */
  offer(said: string): void {
    this.said = said;
    this.offered = true;
  }

  /** Reports something that has no way back. */
  tell(said: string): void {
    this.said = said;
    this.offered = false;
  }

  clear(): void {
    this.tell("");
  }

  /** Takes back the newest change, or the one of that number, and says what came of it. */
  async takeBack(number?: number): Promise<UndoEntry | undefined> {
    this.clear();
    try {
      const entry = await this.work.act("notebook.undo", number === undefined ? {} : { number });
      this.tell(number === undefined ? text.state.undone : `${text.state.undone} ${entry.what}`);
      return entry;
    } catch (thrown) {
      this.tell(Refusal.from(thrown).message);
      return undefined;
    }
  }
}

export const undo = new Undo();
