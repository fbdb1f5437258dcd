import { convertFileSrc, invoke } from "@tauri-apps/api/core";
import { listen } from "@tauri-apps/api/event";
import { getCurrentWebview } from "@tauri-apps/api/webview";

import { Refusal, type AnswerOf, type Backend, type CommandName, type News, type RequestOf, type Start } from ".";

/** Whether the page runs inside our own window. */
export function hasShell(): boolean {
  return "__TAURI_INTERNALS__" in globalThis;
}

/** The real core, behind the window's shell. */
export const shell: Backend = {
  async call<K extends CommandName>(name: K, request: RequestOf<K>): Promise<AnswerOf<K>> {
    return ask("call", { name, request });
  },
  start: () => ask<Start>("start"),
  reopen: () => ask<Start>("reopen"),
  create: () => ask<Start>("create"),
  pickFile: (kind) => ask<string | null>("pick_file", { kind }),
  pickPhotos: (from) => ask<string[]>("pick_photos", { from }),
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

async function ask<T>(command: string, given?: Record<string, unknown>): Promise<T> {
  try {
    return await invoke<T>(command, given);
  } catch (thrown) {
    throw Refusal.from(thrown);
  }
}
