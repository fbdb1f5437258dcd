import { render, screen } from "@testing-library/svelte";
import { expect, it } from "vitest";

import App from "./App.svelte";
import { useBackend } from "./backend";
import { FakeBackend } from "./backend/fake";
import { router } from "./state/router.svelte";
import { text } from "./text";

it("tells how far the opening of a large notebook is, and then shows it", async () => {
  const backend = new FakeBackend({});
  let open = (): void => undefined;
  backend.opened = new Promise((resolve) => (open = resolve));
  useBackend(backend);
  router.go();
  render(App);
  expect(await screen.findByText(text.state.waiting)).toBeTruthy();

  backend.progress({ step: "listing", part: "journals", done: 1200, all: 2000, seconds_left: 20, can_stop: true });
  expect(await screen.findByText(text.progress.step.listing)).toBeTruthy();
  expect(screen.getByText(/1.?200 of 2.?000 journals · about 20 s left/)).toBeTruthy();
  expect(screen.queryByRole("button", { name: text.progress.stop })).toBeNull();

  open();
  expect(await screen.findByRole("heading", { level: 1, name: text.today.title })).toBeTruthy();
  expect(screen.queryByText(text.progress.step.listing)).toBeNull();
});
