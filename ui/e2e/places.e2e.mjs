// Every place, in both layouts and every look: axe finds nothing, nothing sticks out, and every
// target in the field is large enough for a thumb.
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { mkdirSync } from "node:fs";
import { join } from "node:path";
import { after, before, test } from "node:test";

import { CLI, newest, openWindow, scratch } from "./driver.mjs";
import { LOOKS, PLACES, SIZES } from "./places.mjs";

const pictures = process.env.SWARDBOOK_PICTURES;
let window;
let ids;

before(async () => {
  const notebook = join(scratch(), "demo");
  execFileSync(CLI, ["demo", notebook], { stdio: ["ignore", "ignore", "inherit"] });
  window = await openWindow({ notebook });
  await window.says("clear to sample");
  ids = await newest(window);
  if (pictures) mkdirSync(pictures, { recursive: true });
});
after(() => window?.close());

for (const place of PLACES) {
  for (const size of SIZES) {
    test(`${place.name}, ${size.name}`, async () => {
      await window.size(size.width, size.height);
      await window.go(...place.steps.map((step) => (typeof step === "function" ? step(ids) : step)));
      await window.says(place.ready);
      await place.prepare?.(window);
      for (const look of LOOKS) {
        await window.theme(look);
        if (pictures) await window.picture(join(pictures, `${place.name}-${size.name}-${look}.png`));
        assert.deepEqual(await window.axe(), [], `axe, ${look}`);
        await window.fits(look);
        if (size.name === "field") assert.deepEqual(await smallTargets(), [], `targets, ${look}`);
      }
    });
  }
}

/** What can be pressed and is lower than 44 px; links inside sentences are text. */
function smallTargets() {
  return window.script(`
    const all = [...document.querySelectorAll("button, select, input, textarea, summary, nav a, main li > a, .back")];
    return all
      .filter((one) => one.checkVisibility({ opacityProperty: false }) && !one.closest(".unseen"))
      .filter((one) => {
        const box = (one.type === "radio" || one.type === "checkbox" ? one.closest("label") : one).getBoundingClientRect();
        return box.height > 0 && box.height < 43.5;
      })
      .map((one) => one.outerHTML.slice(0, 90));
  `);
}
