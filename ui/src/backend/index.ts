import type { Code, Commands, Problem, Progress } from "../generated/types";

/** The name of something the core can be asked. */
export type CommandName = keyof Commands;
/** What a command takes. */
export type RequestOf<K extends CommandName> = Commands[K][0];
/** What a command answers. */
export type AnswerOf<K extends CommandName> = Commands[K][1];

/** How the window started. */
export interface Start {
  /** The notebook's folder, for a person. */
  notebook: string;
  /** Whether it lies open, if only to be read. */
  open: boolean;
  /** Why it is not open, or not for writing; or nothing. */
  problem: Problem | null;
  /** Whether it runs on a phone, whose web view opens the camera itself. */
  phone: boolean;
}

/** What may have changed that is shown. */
export interface News {
  /** Records or files of another device arrived. */
  records: boolean;
  /** Devices, what waits for them, or a pairing. */
  devices: boolean;
}

/** What kind of file is asked for; the shell turns it into the system's filters. */
export type FileKind = "panel" | "picture" | "any";

/** Long work of the core, under way. */
export interface Work<T> {
  /** What it answers; rejects with a {@link Refusal}, `cancelled` when it was stopped. */
  answer: Promise<T>;
  /** Has it stopped as soon as it can be. */
  stop(): void;
}

/** All that the window may ask of the world outside it. */
export interface Backend {
  /** Asks the core; rejects with a {@link Refusal}. */
  call<K extends CommandName>(name: K, request: RequestOf<K>): Promise<AnswerOf<K>>;
  /** Asks the core for something long, which tells how far it is. */
  callWatched<K extends CommandName>(name: K, request: RequestOf<K>, hear: (progress: Progress) => void): Work<AnswerOf<K>>;
  /** How the window started, once the notebook is open; tells how far that is where it takes long. */
  start(hear: (progress: Progress) => void): Promise<Start>;
  /** Lets go of the notebook and opens it once more. */
  reopen(hear: (progress: Progress) => void): Promise<Start>;
  /** Makes a notebook in the folder that has none. */
  create(): Promise<Start>;
  /** Lets the person choose a file; its path or address, or nothing when they turned away. */
  pickFile(kind: FileKind): Promise<string | null>;
  /** Lets the person choose several photos, or a folder of them; nothing when they turned away. */
  pickPhotos(from: "files" | "folder"): Promise<string[]>;
  /** Puts a photo of the web view's own camera, which has no path, into a file; answers its path. */
  putAside(photo: Blob): Promise<string>;
  /** Tells of files dropped on the window; returns what ends it. */
  onDrop(heard: (paths: string[]) => void): () => void;
  /** Tells that records arrived, or that devices or a pairing changed; returns what ends it. */
  onNews(heard: (news: News) => void): () => void;
  /** Where a stored file can be shown from, by its hash; a picture made from it by `hash/name`. */
  storedUrl(hash: string): string;
}

/** An answer that was not given, with its reason in words. */
export class Refusal extends Error {
  readonly code: Code | "unknown";
  /** The field that stands in the way, by its name in the request. */
  readonly field: string | null;

  constructor(problem: { code: Code | "unknown"; message: string; field?: string | null }) {
    super(problem.message);
    this.name = "Refusal";
    this.code = problem.code;
    this.field = problem.field ?? null;
  }

  /** Whatever was thrown, as a refusal; what is not one keeps its own words. */
  static from(thrown: unknown): Refusal {
    if (thrown instanceof Refusal) return thrown;
    if (isProblem(thrown)) return new Refusal(thrown);
    return new Refusal({ code: "unknown", message: thrown instanceof Error ? thrown.message : String(thrown) });
  }
}

function isProblem(thrown: unknown): thrown is Problem {
  return typeof thrown === "object" && thrown !== null && "code" in thrown && "message" in thrown;
}

let current: Backend | undefined;

/** Puts a backend in place, once at the start or in each test. */
export function useBackend(backend: Backend): void {
  current = backend;
}

/** The backend in place. */
export function backend(): Backend {
  if (!current) throw new Error("no backend was put in place before the first screen");
  return current;
}
