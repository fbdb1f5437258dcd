/** The latest change that can be taken back, shown in one bar for the whole window. */
class Undo {
  /** What was done, in words. */
  said = $state("");
  /** Takes it back; absent when it only reports. */
  back = $state.raw<(() => Promise<unknown>) | undefined>();

  /** Shows a change and how to take it back. */
  offer(said: string, back?: () => Promise<unknown>): void {
    this.said = said;
    this.back = back;
  }

  clear(): void {
    this.said = "";
    this.back = undefined;
  }
}

export const undo = new Undo();
