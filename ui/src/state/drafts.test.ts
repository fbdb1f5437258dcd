import { afterEach, beforeEach, expect, it, vi } from "vitest";

import { Draft, keepDrafts } from "./drafts.svelte";

beforeEach(() => localStorage.clear());
afterEach(() => vi.useRealTimers());

const empty = () => ({ note: "", rows: [] as string[] });

it("what was typed is there again after the window was closed in mid-form", () => {
  const first = new Draft("sample/1", empty);
  expect(first.restored).toBe(false);
  first.values.note = "wet hole";
  first.values.rows.push("a");
  first.watch();
  // What a closing window does.
  keepDrafts();

  const second = new Draft("sample/1", empty);
  expect(second.restored).toBe(true);
  expect(second.values).toEqual({ note: "wet hole", rows: ["a"] });
  expect(new Draft("sample/2", empty).restored).toBe(false);
});

it("a keypress does not wait for the disk", () => {
  vi.useFakeTimers();
  const draft = new Draft("note", empty);
  draft.values.note = "x";
  draft.watch();
  expect(localStorage.length).toBe(0);
  vi.advanceTimersByTime(1000);
  expect(localStorage.length).toBe(1);
});

it("a saved form leaves nothing behind", () => {
  const draft = new Draft("note", empty);
  draft.values.note = "x";
  draft.watch();
  keepDrafts();
  draft.clear();
  keepDrafts();
  expect(localStorage.length).toBe(0);
  expect(draft.values).toEqual(empty());
});

it("damaged drafts are left aside", () => {
  localStorage.setItem("draft:note", "{");
  expect(new Draft("note", empty).values).toEqual(empty());
});
