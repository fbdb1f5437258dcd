import { Refusal, type AnswerOf, type Backend, type CommandName, type FileKind, type News, type RequestOf, type Start, type Work } from ".";
import type { Progress } from "../generated/types";

/** What a fake answers, command by command; one left out is refused by name. */
export type Answers = {
  [K in CommandName]?: (request: RequestOf<K>) => AnswerOf<K> | Promise<AnswerOf<K>>;
};

/** A backend that answers from a table and remembers what it was asked. */
export class FakeBackend implements Backend {
  /** Every question in order. */
  readonly asked: { name: CommandName; request: unknown }[] = [];
  /** What the next picked file is. */
  picked: string | null = null;
  /** Photos that were put aside. */
  readonly asides: Blob[] = [];
  /** Settled when the notebook lies open. */
  opened: Promise<void> = Promise.resolve();
  /** How often something long was asked to stop. */
  stops = 0;
  #watching = new Set<(progress: Progress) => void>();
  #listeners = new Set<(news: News) => void>();
  #hearers = new Set<(paths: string[]) => void>();

  constructor(
    readonly answers: Answers,
    readonly started: Start = { notebook: "Kettle Bend", open: true, problem: null, phone: false },
  ) {}

  async call<K extends CommandName>(name: K, request: RequestOf<K>): Promise<AnswerOf<K>> {
    this.asked.push({ name, request: plain(request) });
    const answer = this.answers[name];
    if (!answer) throw new Refusal({ code: "not-found", message: `the fake has no answer to ${name}` });
    return await (answer as (request: RequestOf<K>) => AnswerOf<K>)(request);
  }

  callWatched<K extends CommandName>(name: K, request: RequestOf<K>, hear: (progress: Progress) => void): Work<AnswerOf<K>> {
    this.#watching.add(hear);
    const answer = this.call(name, request).finally(() => this.#watching.delete(hear));
    return { answer, stop: () => void (this.stops += 1) };
  }

  /** Lets long work tell how far it is. */
  progress(progress: Progress): void {
    for (const hear of this.#watching) hear(progress);
  }

  async start(hear: (progress: Progress) => void): Promise<Start> {
    this.#watching.add(hear);
    await this.opened;
    this.#watching.delete(hear);
    return this.started;
  }

  async reopen(): Promise<Start> {
    return this.started;
  }

  async create(): Promise<Start> {
    return { ...this.started, open: true, problem: null };
  }

  async pickFile(_kind: FileKind): Promise<string | null> {
    return this.picked;
  }

  async pickPhotos(_from: "files" | "folder"): Promise<string[]> {
    return this.picked ? [this.picked] : [];
  }

  async putAside(photo: Blob): Promise<string> {
    this.asides.push(photo);
    return `/taken-${this.asides.length}.jpg`;
  }

  onDrop(heard: (paths: string[]) => void): () => void {
    this.#hearers.add(heard);
    return () => this.#hearers.delete(heard);
  }

  /** Lets files fall on the window. */
  drop(paths: string[]): void {
    for (const heard of this.#hearers) heard(paths);
  }

  onNews(heard: (news: News) => void): () => void {
    this.#listeners.add(heard);
    return () => this.#listeners.delete(heard);
  }

  /** Lets something arrive from another device. */
  news(news: News): void {
    for (const heard of this.#listeners) heard(news);
  }

  storedUrl(hash: string): string {
    return `stored:${hash}`;
  }
}

/** The request as it would cross the border. */
function plain(request: unknown): unknown {
  return JSON.parse(JSON.stringify(request ?? null));
}
