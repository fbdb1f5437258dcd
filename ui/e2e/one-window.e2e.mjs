// The usual notebook has one window: a second start brings the first to the front and ends.
import assert from "node:assert/strict";
import { spawn } from "node:child_process";
import { once } from "node:events";
import { test } from "node:test";

import { DESKTOP, homeOf, openWindow, scratch } from "./driver.mjs";

test("a second start shows the first window, which writes on", async () => {
  const home = scratch();
  const window = await openWindow({ home });
  try {
    await window.says("This notebook is empty");
    const second = spawn(DESKTOP, [], { env: homeOf(home), stdio: "ignore" });
    const [code] = await once(second, "exit", { signal: AbortSignal.timeout(10_000) });
    assert.equal(code, 0, "the second start ends in good order");
    await window.press("Properties");
    await window.press("New property");
    await window.fill("Name", "Kettle Bend, own ground");
    await window.press("Save");
    await window.says("No zone yet");
  } finally {
    await window.close();
  }
});
