import { beforeEach, expect, it } from "vitest";

import { Refusal, useBackend } from "../backend";
import { FakeBackend } from "../backend/fake";
import type { UndoEntry } from "../generated/types";
import { text } from "../text";
import { undo } from "./undo.svelte";

let backend: FakeBackend;
let settle: { resolve: (entry: UndoEntry) => void; reject: (why: Refusal) => void };
beforeEach(() => {
  undo.clear();
  backend = new FakeBackend({ "notebook.undo": () => new Promise((resolve, reject) => (settle = { resolve, reject })) });
  useBackend(backend);
});

const ENTRY = { number: 3, what: "imported panel.csv", undone: true };

it("the newest change is taken back with a word on how far it is, and it is said", async () => {
  undo.offer("Taken in.");
  const back = undo.takeBack();
  expect([undo.said, undo.offered]).toEqual(["", false]);
  backend.progress({ step: "taking-back", part: "records", done: 3, all: 6000, seconds_left: null, can_stop: true });
  expect(undo.work.progress?.done).toBe(3);
  undo.work.stop();
  expect([backend.stops, undo.work.stopping]).toEqual([1, true]);
  settle.resolve(ENTRY);
  expect(await back).toEqual(ENTRY);
  expect([undo.said, undo.work.progress]).toEqual([text.state.undone, undefined]);
  expect(backend.asked).toEqual([{ name: "notebook.undo", request: {} }]);
});

it("one of an earlier number is named, and a refusal is said in its own words", async () => {
  const named = undo.takeBack(3);
  settle.resolve(ENTRY);
  await named;
  expect(undo.said).toContain("imported panel.csv");
  const refused = undo.takeBack(3);
  settle.reject(new Refusal({ code: "refused", message: "it was taken back already" }));
  expect(await refused).toBeUndefined();
  expect(undo.said).toBe("it was taken back already");
});
