import { Channel, convertFileSrc, invoke } from "@tauri-apps/api/core";
import { listen } from "@tauri-apps/api/event";
import { getCurrentWebview } from "@tauri-apps/api/webview";

import { Refusal, type AnswerOf, type Backend, type CommandName, type News, type RequestOf, type Start, type Work } from ".";
import type { Progress } from "../generated/types";

/** Whether the page runs inside our own window. */
export function hasShell(): boolean {
  return "__TAURI_INTERNALS__" in globalThis;
}

/** The next number of long work, by which it is stopped, or of a photo, by which its pieces belong together. */
let number = 0;
/** Bytes of one piece; raw ones cannot cross on every phone. */
const PIECE = 256 * 1024;

function base64(piece: Blob): Promise<string> {
  return new Promise((resolve, reject) => {
    const reader = new FileReader();
    // "data:...;base64," stands before it.
    reader.onload = () => resolve(String(reader.result).split(",")[1] ?? "");
    reader.onerror = () => reject(Refusal.from(reader.error));
    reader.readAsDataURL(piece);
  });
}

/** The real core, behind the window's shell. */
export const shell: Backend = {
  async call<K extends CommandName>(name: K, request: RequestOf<K>): Promise<AnswerOf<K>> {
    return ask("call", { name, request });
  },
  callWatched<K extends CommandName>(name: K, request: RequestOf<K>, hear: (progress: Progress) => void): Work<AnswerOf<K>> {
    const mine = (number += 1);
    return {
      answer: ask("call_watched", { name, request, number: mine, told: new Channel<Progress>(hear) }),
      // Whether it stopped is told by its answer.
      stop: () => void ask("stop", { number: mine }),
    };
  },
  start: (hear) => opening("start", hear),
  reopen: (hear) => opening("reopen", hear),
  create: () => ask<Start>("create"),
  pickFile: (kind) => ask<string | null>("pick_file", { kind }),
  pickPhotos: (from) => ask<string[]>("pick_photos", { from }),
  async putAside(photo) {
    const mine = (number += 1);
    let path = "";
    for (let from = 0; from < photo.size; from += PIECE) {
      const piece = await base64(photo.slice(from, from + PIECE));
      path = await ask<string>("taken_piece", { number: mine, from, piece });
    }
    return path;
  },
  onDrop(heard) {
    const listening = getCurrentWebview().onDragDropEvent(({ payload }) => {
      if (payload.type === "drop") heard(payload.paths);
    });
    return () => void listening.then((stop) => stop());
  },
  onNews(heard) {
    const listening = listen<News>("news", ({ payload }) => heard(payload));
    return () => void listening.then((stop) => stop());
  },
  storedUrl(hash) {
    // The slash before the name of a picture made from it stays a slash.
    const [first = "", ...names] = hash.split("/");
    return [convertFileSrc(first, "stored"), ...names].join("/");
  },
};

/** Asks for the notebook, and hears how far its opening is meanwhile. */
async function opening(command: "start" | "reopen", hear: (progress: Progress) => void): Promise<Start> {
  const listening = listen<Progress>("opening", ({ payload }) => hear(payload));
  try {
    return await ask<Start>(command);
  } finally {
    void listening.then((stop) => stop());
  }
}

async function ask<T>(command: string, given?: Record<string, unknown>): Promise<T> {
  try {
    return await invoke<T>(command, given);
  } catch (thrown) {
    throw Refusal.from(thrown);
  }
}
