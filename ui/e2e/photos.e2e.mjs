// Photos by hand in the real window, in the office and on a phone: chosen, sorted by slate and by
// time, kept, measured, a card marked with the keyboard, the mask looked at, and two days compared
// under the slider.
import assert from "node:assert/strict";
import { copyFileSync, mkdirSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { test } from "node:test";

import { openWindow, scratch, until } from "./driver.mjs";
import { drawnPhotos, slateOf, withNotes } from "./photos.mjs";
import { SIZES } from "./places.mjs";

const [TAB, RIGHT, DOWN, HOME, END] = ["\uE004", "\uE014", "\uE015", "\uE011", "\uE010"];

/** A notebook with two zones, one of them rated on two days at a known time. */
async function prepared(window) {
  await window.press("Start a notebook here");
  await window.says("This notebook is empty");
  await window.call("record.add", { kind: "property", fields: { name: "Kettle Bend" } });
  const zone = {};
  for (const name of ["Front verge", "Back terrace"]) {
    zone[name] = (await window.call("record.add", { kind: "zone", within: "Kettle Bend", fields: { name } })).id;
  }
  for (const date of ["2026-08-01", "2026-09-12"]) {
    const fields = { sort: "rating", date, time: "10:00", what: "colour", value: 6, rater: "Tamsin Okoro" };
    await window.call("record.add", { kind: "observation", within: "Front verge", fields });
  }
  return zone;
}

/** A folder as it comes from the camera. */
function folderOf(notebook) {
  const folder = join(scratch(), "camera");
  mkdirSync(folder);
  const [early, middle, late] = drawnPhotos();
  withNotes(early, join(folder, "early.jpg"), "2026:08:01 10:05:00");
  withNotes(late, join(folder, "late.jpg"), "2026:09:12 10:07:00");
  // Without a time, so that they come after the others, in the order of their names.
  slateOf(notebook, "Back terrace", join(folder, "x-slate.png"));
  copyFileSync(middle, join(folder, "y-after.jpg"));
  writeFileSync(join(folder, "words.txt"), "no photo");
  writeFileSync(join(folder, "IMG_0200.HEIC"), Buffer.concat([Buffer.from([0, 0, 0, 24]), Buffer.from("ftypheic"), Buffer.alloc(12)]));
  return folder;
}

for (const size of SIZES) {
  test(`photos by hand, ${size.name}`, async () => {
    const [home, notebook] = [scratch(), join(scratch(), "notebook")];
    const window = await openWindow({ notebook, home });
    try {
      await window.size(size.width, size.height);
      const zone = await prepared(window);
      // The slate is printed from the command line, which waits until the window is not writing.
      const folder = folderOf(notebook);

      // Chosen in a folder, looked at, and each sorted with its reason.
      await window.go("photos", zone["Front verge"]);
      await window.says("No photo of this zone yet");
      await window.press("Add photos");
      await window.choose("To which zone", "sort");
      window.picksNext(folder);
      await window.press("Choose a folder");
      await window.says("Where each belongs");
      await window.says("3 of 5 can be kept as they are sorted");
      await window.says("time: something was recorded there");
      await window.says("slate: it comes after the zone's slate");
      await window.says("the slate itself");
      await window.says("choose \"most compatible\"");
      await window.fits("sorted photos");
      assert.deepEqual(await window.axe(), []);
      await window.press("Keep 3 photos");
      await window.says("3 photos are kept.");
      // What was refused is still named, with the way out.
      await window.says("IMG_0200.HEIC: this is a HEIC photo");
      await window.says("\"HEIF\" off");

      // Measured, all that were not.
      await window.go("photos", zone["Front verge"]);
      await window.says("2 photos");
      await window.press("Measure the 2 that are not measured");
      await window.says("Over time");
      await until(async () => (await window.text()).split("evidence").length > 2, "both are measured and evidence");

      // One photo: its corners by hand and by keys, its mask, and the measurement kept.
      await window.press("· evidence");
      await window.says("Mark the corners by hand");
      await until(() => window.count("figure img"), "the mask is shown");
      await window.press("Mark the corners by hand");
      // Out from under the bar at the foot, as a person scrolls it.
      await window.find(".frame button");
      await window.script(`document.querySelector(".frame button").scrollIntoView({ block: "center" })`);
      await window.click(".frame button");
      const corner = () => window.script(`return document.querySelector(".frame button").getAttribute("aria-label")`);
      const place = (words) => /at (\d+) across and (\d+) down/.exec(words).slice(1).map(Number);
      const [x, y] = place(await corner());
      await window.key(RIGHT);
      await window.key(DOWN);
      assert.deepEqual(place(await corner()), [x + 1, y + 1], "a key moves it by one pixel");
      assert.equal(await window.count(".loupe"), 1);
      // Looked at anew with the corners as marked.
      await window.says("Not kept yet");
      const mask = () => window.script(`return document.querySelector("figure img")?.naturalWidth ?? 0`);
      await until(async () => (await mask()) > 100, "the new mask is drawn");
      await window.fits("a marked photo");
      assert.deepEqual(await window.axe(), []);
      await window.press("Keep this measurement");
      await window.says("Measured.", "body");

      // Two days under the slider, moved by keys.
      await window.go("photos", zone["Front verge"]);
      await window.says("Mark two photos");
      // One by pointer, the other by keys alone: into the list, to its link, to its mark.
      await window.press("Compare early.jpg");
      await window.says("One photo is chosen");
      await window.press("Compare early.jpg");
      await window.says("Mark two photos");
      await window.script(`document.querySelector("main .window").focus()`);
      const focused = () =>
        window.script(`return [document.activeElement.tagName, document.activeElement.closest("label")?.textContent.trim() ?? ""]`);
      const marks = [];
      while (marks.length < 2) {
        await window.key(TAB);
        assert.equal((await focused())[0], "A", "first the photo itself");
        await window.key(TAB);
        const [tag, words] = await focused();
        assert.equal(tag, "INPUT", "then its mark");
        await window.key(" ");
        marks.push(words);
        await window.says(marks.length === 1 ? "One photo is chosen" : "Two photos are chosen.");
      }
      assert.deepEqual(marks.map((words) => words.replace(/\s+/g, " ")), ["Compare late.jpg Compare", "Compare early.jpg Compare"]);
      await window.key(" ");
      await window.says("One photo is chosen");
      await window.key(" ");
      await window.says("Two photos are chosen.");
      await window.press("Before and after");
      await window.says("taken in one way (Invented, Field 3");
      await window.says("Both are drawn to the same scale");
      await window.says("Dark green colour index");
      // Out from under the bar at the foot, as a person scrolls it.
      await window.script(`document.querySelector("input[type=range]").scrollIntoView({ block: "center" })`);
      await window.click("input[type=range]");
      const shown = () =>
        window.script(`return [document.querySelector("input[type=range]").getAttribute("aria-valuetext"), document.querySelector(".after").style.clipPath]`);
      for (const [key, words, cut] of [
        [HOME, "0 %", "100%"],
        [RIGHT, "1 %", "99%"],
        [END, "100 %", "0%"],
      ]) {
        await window.key(key);
        await until(async () => (await shown())[0] === words, `the slider says ${words}`);
        assert.match((await shown())[1], new RegExp(`\\b${cut}`), `${words} of the later photo`);
      }
      await window.fits("two photos");
      assert.deepEqual(await window.axe(), []);
    } finally {
      await window.close();
    }
  });
}
