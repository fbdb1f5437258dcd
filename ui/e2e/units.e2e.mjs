// One switch in the settings, and every amount on every place is in the other units: screens and
// figures alike, and the same on the command line. Workings keep the units of their equations, and
// what a laboratory printed stays as it printed it.
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { join } from "node:path";
import { after, before, test } from "node:test";

import { CLI, newest, openWindow, scratch } from "./driver.mjs";
import { PLACES } from "./places.mjs";

/** An amount in a unit that is shown as another to those who measure in US customary units. */
const METRIC = /\d\s?(?:kg|mm|m²|ha|g\/m²|kg\/ha|t\/ha|°C)(?![\w/²³])/;
/** Places that show no amounts of the records: forms of their own, lists of published numbers. */
const OTHER = new Set(["bench", "bench-cations", "guidelines", "panel-import"]);

let window;
let ids;
let notebook;

before(async () => {
  notebook = join(scratch(), "demo");
  execFileSync(CLI, ["demo", notebook], { stdio: ["ignore", "ignore", "inherit"] });
  window = await openWindow({ notebook });
  await window.says("clear to sample");
  ids = await newest(window);
});
after(() => window?.close());

async function choose(word) {
  await window.go("settings");
  await window.says("In the notebook");
  await window.press("Change");
  await window.press(word);
  await window.press("Save");
  // The example on the page is written anew once the switch has reached the screens.
  await window.says(word === "metric" ? "kg/ha" : "lb/acre");
}

/** What a place says outside its working, figures included. */
async function said(place) {
  await window.go(...place.steps.map((step) => (typeof step === "function" ? step(ids) : step)));
  await window.says(place.ready);
  await window.settled();
  return window.script(`
    const main = document.querySelector("main .main") ?? document.querySelector("main");
    const drawn = [...main.querySelectorAll("svg.sb-fig")].map((one) => one.textContent);
    return [main.innerText, ...drawn].join("\\n").replace(/\\u00a0/g, " ");`);
}

test("every place follows the switch, and back", async () => {
  const zone = PLACES.find((one) => one.name === "zone");
  assert.match(await said(zone), /388 m²/);
  await choose("US customary");
  const missed = [];
  for (const place of PLACES.filter((one) => !OTHER.has(one.name))) {
    for (const line of (await said(place)).split("\n")) {
      // What a person wrote in words stays as it was written.
      if (METRIC.test(line) && line.trim() !== "tube, 19 mm") missed.push(`${place.name}: ${line.trim().slice(0, 160)}`);
    }
  }
  assert.deepEqual(missed, []);
  assert.match(await said(zone), /4,176 ft²/);
  // The command line says the same of the same notebook.
  const printed = execFileSync(CLI, ["--notebook", notebook, "zone", "list"], { encoding: "utf8" });
  assert.match(printed, /back terrace .* 4176\.4 ft2/);

  await choose("metric");
  assert.match(await said(zone), /388 m²/);
});

test("an amount typed in US units is kept as what it is", async () => {
  await choose("US customary");
  await window.go("add", "application", ids.zone);
  await window.fill("Amount", "10");
  assert.equal(await window.valueOf("Unit of Amount"), "lb");
  await window.choose("Material", "gypsum");
  await window.press("Save");
  await window.says("Season");
  await window.says("10 lb");
  const { season } = await window.call("zone.show", { zone: ids.zone });
  const { fields } = await window.call("record.get", { id: season.find((one) => one.kind === "application").id });
  // One pound is 0.453 592 37 kg (international yard and pound agreement of 1959).
  const amount = fields.find((field) => field.name === "amount");
  assert.equal(amount.unit, "kg");
  assert.ok(Math.abs(amount.value - 4.5359237) < 1e-9, String(amount.value));
});
