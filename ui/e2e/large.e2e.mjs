// A notebook of 2,000 zones and ten years stays usable: what is shown is bounded, whatever is kept.
// The notebook is made by `core/app/benches/notebook.rs`; without it this is skipped and says so.
import assert from "node:assert/strict";
import { cpSync } from "node:fs";
import { join } from "node:path";
import { test } from "node:test";

import { LARGE, largeIsThere, openWindow, scratch, until } from "./driver.mjs";

test("2,000 zones of ten years", { skip: largeIsThere() ? false : `no notebook in ${LARGE}` }, async () => {
  const notebook = join(scratch(), "large");
  cpSync(LARGE, notebook, { recursive: true });
  const window = await openWindow({ notebook });
  try {
    await window.says("of 2000 zones are clear to sample");
    const lines = () => window.count("main section li");
    const first = await lines();
    assert.ok(first < 80, `${first} lines at first`);
    await window.press("Show more");
    await until(async () => (await lines()) > first, "there are more lines after the press");
    // The place to record on is chosen among one property's zones.
    assert.ok((await window.count("main select option")) < 300, "the lists to choose from stay short");

    await window.press("Properties");
    await window.says("Property 199");
    await window.press("Property 100");
    await window.says("Zone 1000");
    await window.press("Zone 1005");
    await window.says("Season");
    // A season or two of 360 things that happened; the rest when it is asked for.
    await window.says("Show");
    assert.ok((await window.count("main [data-event]")) < 80);
    await window.press("earlier ones");
    assert.equal(await window.count("main [data-event]"), 360);

    await window.press("Note");
    await window.fill("Note", "dry by the gate");
    await window.press("Save");
    await window.says("dry by the gate");
  } finally {
    await window.close();
  }
});
