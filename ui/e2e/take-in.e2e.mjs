// A panel file of thousands of rows in the real window: the share taken in, stopping half-way, and all of it.
import assert from "node:assert/strict";
import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { test } from "node:test";

import { openWindow, scratch, until } from "./driver.mjs";

const ROWS = 1500;

test("a large file is stopped half-way with nothing of it kept, and then taken in whole", async () => {
  const file = join(scratch(), "panel.csv");
  const rows = Array.from({ length: ROWS }, (_, at) => `S${at},2026-02-01,0-100,${40 + (at % 30)},${200 + (at % 90)}`);
  writeFileSync(file, `Sample,Date sampled,Depth (mm),K (Mehlich-3) mg/kg,Ca (Mehlich-3) mg/kg\n${rows.join("\n")}\n`);
  const window = await openWindow({ notebook: join(scratch(), "notebook") });
  try {
    await window.size(1440, 900);
    await window.press("Start a notebook here");
    await window.says("This notebook is empty");
    const property = await window.call("record.add", { kind: "property", fields: { name: "Kettle Bend" } });
    const zone = await window.call("record.add", { kind: "zone", within: property.id, fields: { name: "Back terrace" } });
    await window.go("panel-import", zone.id);
    await window.says("Choose a file");
    window.picksNext(file);
    await window.press("Choose a file");
    // A page of the samples is shown, so that thousands do not hold up the window.
    await window.says("20 of 1,500 are shown.");
    // Every share that is shown is remembered: the page changes faster than a driver asks.
    await window.script(`
      window.shares = [];
      new MutationObserver(() => {
        const bar = document.querySelector("main progress");
        if (bar && bar.hasAttribute("value")) window.shares.push([document.querySelector("main .progressing [role=status]").innerText, bar.value]);
        const stop = [...document.querySelectorAll("main button")].find((one) => one.textContent.trim() === "Stop");
        if (window.stopAt !== undefined && bar && bar.value >= window.stopAt && stop) stop.click();
      }).observe(document.querySelector("main"), { subtree: true, childList: true, attributes: true, characterData: true });
      window.stopAt = 0.3;`);
    await window.press("Take it in");
    await window.says("Stopped. Nothing of the file was taken in");
    const shares = await window.script("return window.shares");
    assert.ok(shares.length > 3, `the share was shown: ${JSON.stringify(shares)}`);
    assert.ok(shares.every(([, value], at) => at === 0 || value >= shares[at - 1][1]), `it never goes back: ${JSON.stringify(shares)}`);
    assert.ok(shares.at(-1)[1] < 1, "it was stopped on the way");
    const counts = async () => {
      const [line] = await window.call("zone.list", {});
      return [line.samples, line.panels];
    };
    assert.deepEqual(await counts(), [0, 0]);
    assert.deepEqual(await window.axe(), []);

    // What was chosen is still there.
    await window.script("window.stopAt = undefined; window.shares = []");
    await window.press("Take it in");
    await window.says("S0: 2 readings");
    await window.says("20 of 1,500 are shown.");
    const said = (await window.script("return window.shares")).map(([words]) => words);
    assert.ok(said.includes("Taking it in"), `its words: ${JSON.stringify([...new Set(said)])}`);
    assert.deepEqual(await counts(), [ROWS, ROWS]);
    await window.press("Undo");
    await until(async () => (await counts()).every((count) => count === 0), "one Undo takes all of it back");
  } finally {
    await window.close();
  }
});
