// The bench in the real window: a calculation asked for, answered, and kept over a closed window.
import assert from "node:assert/strict";
import { join } from "node:path";
import { test } from "node:test";

import { openWindow, scratch } from "./driver.mjs";

test("a calculation is worked out, and what was typed outlives the window", async () => {
  const [home, folder] = [scratch(), join(scratch(), "notebook")];
  let window = await openWindow({ notebook: folder, home });
  try {
    // The folder holds nothing yet, which the window says in words.
    await window.says("There is no notebook here");
    await window.press("Start a notebook here");
    await window.go("bench", "acidity-scale");
    await window.fill("The reading, 1:5", "6,0");
    await window.press("water");
    await window.press("Work it out");
    // Conyers and Davey 1988: pH 6.0 in water is 5.4 in calcium chloride.
    await window.says("pH 5.4");
    await window.says("Conyers", "aside");

    await window.fill("The reading, 1:5", "15");
    await window.says("cannot be");
    await window.fill("The reading, 1:5", "5.5");
    await window.says("pH on the other scale");
  } finally {
    await window.close();
  }

  window = await openWindow({ notebook: folder, home });
  try {
    await window.go("bench", "acidity-scale");
    await window.says("What you had typed is still here.");
    assert.equal(await window.script("return document.querySelector('input[name=ph]').value"), "5.5");
  } finally {
    await window.close();
  }
});
