// The main job in the real window, by clicking and typing alone, in the office and on a phone: from
// an empty folder to the verdict on a retest, with the mistakes a person makes on the way.
import assert from "node:assert/strict";
import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { test } from "node:test";

import { openWindow, scratch } from "./driver.mjs";
import { SIZES } from "./places.mjs";

/** A laboratory's file as it comes in the post: the composite's label, then a column for each reading. */
function panelFile(folder, { label, sampled, reported, readings }) {
  const [ph, p, k, ca, mg] = readings;
  const path = join(folder, `panel-${label}.csv`);
  writeFileSync(
    path,
    `Fenwhistle Laboratory
Soil panel,${label}
Date reported,${reported}

Lab No,Client,Sample,Date sampled,Depth,pH,P,K,Ca,Mg
,,,,,1:5 water,Mehlich-3,Mehlich-3,Mehlich-3,Mehlich-3
,,,,mm,,mg/kg,mg/kg,mg/kg,mg/kg
${label}/1,T. Okoro,${label},${sampled},0-100,${[ph, p, k, ca, mg].join(",")}
`,
  );
  return path;
}

const day = (ago) => new Date(Date.now() - ago * 86_400_000).toISOString().slice(0, 10);

/** Pulls so many cores into the bag and sets one aside. */
async function pull(window, wanted) {
  for (let core = 1; core <= wanted; core += 1) {
    await window.press(`Core ${core} kept`);
    await window.says(`Core ${core} kept.`, "body");
  }
  await window.press("Set aside");
  await window.press("imported sand");
  await window.says("Set aside: imported sand");
}

/** Writes the label and the day of a sample through its particulars, and comes back to it. */
async function label(window, words, pulledOn) {
  await window.press("Change particulars");
  await window.fill("Label", words);
  await window.fill("Pulled on", pulledOn);
  await window.fill("To", "100");
  await window.press("Save");
  await window.says(words, "h1");
  await window.press("‹");
  await window.press(`Sample ${words}`);
  await window.says(`Sample ${words}`, "h1");
}

for (const size of SIZES) {
  test(`the whole season by hand, ${size.name}`, async () => {
    const [home, files, notebook] = [scratch(), scratch(), join(scratch(), "notebook")];
    let window = await openWindow({ notebook, home });
    const again = async () => {
      await window.close();
      window = await openWindow({ notebook, home });
      await window.size(size.width, size.height);
      await window.says("Today", "h1");
    };
    try {
      await window.size(size.width, size.height);
      await window.press("Start a notebook here");
      await window.says("This notebook is empty");

      // A property and its first zone.
      await window.press("Properties");
      await window.says("No property yet");
      await window.press("New property");
      await window.fill("Name", "Kettle Bend, own ground");
      await window.press("More to fill in");
      await window.press("my own");
      await window.press("Save");
      await window.says("No zone yet");
      await window.press("New zone");
      await window.fill("Name", "Back terrace");
      await window.fill("Area", "0,0184");
      await window.choose("Unit of Area", "ha");
      await window.press("lawn");
      await window.press("warm season");
      await window.choose("Soil texture", "sandy-loam");
      // The first mistake: a depth of a hundred in the wrong unit. It is refused at its field, and
      // everything else that was typed is still there.
      await window.fill("Root-zone depth", "100");
      await window.choose("Unit of Root-zone depth", "m");
      await window.press("Save");
      await window.says("is 100000 mm; it must be from 10 to 1000");
      assert.equal(await window.valueOf("Name"), "Back terrace");
      assert.equal(await window.valueOf("Area"), "0,0184");
      assert.equal(await window.valueOf("Root-zone depth"), "100");
      await window.choose("Unit of Root-zone depth", "mm");
      await window.press("Save");
      await window.says("Back terrace", "h1");
      await window.says("184 m²");
      // Ground that was never fed waits for nothing.
      await window.says("Clear to sample");

      // The sample: how many cores, then each of them.
      await window.press("Cores");
      await window.says("Pull");
      await window.press("Begin this sample");
      await window.says("cores in the bag");
      await pull(window, 5);
      await window.says("5", ".count b");
      await label(window, "KB-1", day(735));

      // The panel, by its file. The second mistake: the wrong file is chosen first.
      const wrong = join(files, "shopping.csv");
      writeFileSync(wrong, "to buy\nstring\nlabels for the bags\n");
      const before = panelFile(files, { label: "KB-1", sampled: day(735), reported: day(715), readings: [5.1, 31, 38, 410, 62] });
      await window.press("Bring in the panel's file");
      await window.fill("Pasted table", "a table begun and not used");
      window.picksNext(wrong);
      await window.press("Choose a file");
      await window.says("The file could not be read");
      assert.equal(await window.valueOf("Pasted table"), "a table begun and not used");
      // Turning away in the dialog changes nothing.
      window.picksNext("");
      await window.press("Choose a file");
      await window.says("The file could not be read");
      window.picksNext(before);
      await window.press("Choose a file");
      await window.says("Sample KB-1");
      await window.says("5 of");
      // The window is closed before the file is taken in: it is looked at once more as it was left.
      await again();
      await openZone(window);
      await window.press("Panel");
      await window.says("What you had typed is still here.");
      await window.says("Sample KB-1");
      await window.press("Take it in");
      await window.says("KB-1: 5 readings");
      await window.press("Read this panel");
      await window.says("Potassium");

      // The plan, changed by a word and accepted.
      await window.press("Make a plan from it");
      await window.says("Which calcium source");
      await window.press("Accept this plan");
      await window.says("Plan", "h1");
      await window.says("What to buy");

      // What went on. The third mistake: the window is closed in mid-form.
      await window.press("Put down");
      await window.says("Put down", "h1");
      const [amount, went] = [await window.valueOf("Amount"), day(690)];
      assert.match(amount, /^[\d.]+$/, "the plan's amount stands in the form");
      await window.fill("Day", went);
      await window.press("More to fill in");
      await window.fill("How", "by hand, two passes");
      await again();
      await window.press("Put on");
      await window.says("Plan", "h1");
      await window.press("Put down");
      await window.says("What you had typed is still here.");
      assert.equal(await window.valueOf("How"), "by hand, two passes");
      assert.equal(await window.valueOf("Amount"), amount);
      await window.press("Save");
      await window.says("Season");

      // The retest, on a day when the ground is clear again; its panel is typed.
      await window.press("Cores");
      await window.says("Pull");
      await window.says("Clear to sample since");
      await window.press("Begin this sample");
      await window.says("cores in the bag");
      await pull(window, 5);
      await label(window, "KB-2", day(0));
      await window.press("Type the readings");
      const readings = [
        ["pH (1:5 water)", "6.4", "pH"],
        ["P (Mehlich-3)", "33", "mg/kg"],
        // A unit that is no unit of a reading like this one.
        ["K (Mehlich-3)", "41", "dS/m"],
        ["Ca (Mehlich-3)", "1020", "mg/kg"],
        ["Mg (Mehlich-3)", "66", "mg/kg"],
      ];
      await window.press("Another reading");
      await window.press("Another reading");
      for (const [at, [analyte, value, unit]] of readings.entries()) {
        await window.fillMember("analyte", at, analyte);
        await window.fillMember("value", at, value);
        await window.fillMember("unit", at, unit);
      }
      await window.press("Save");
      await window.says("dS/m", "fieldset .problem");
      assert.equal(await window.count("input[aria-invalid=true]"), 1, "one input is marked");
      assert.equal(await window.valueOf("input[name=value]"), "6.4", "the others still say what was typed");
      await window.fillMember("unit", 2, "mg/kg");
      await window.press("Save");
      await window.says("As printed");

      // Before and after, with the verdict in words.
      await window.press("‹");
      await window.press("Before and after");
      await window.says("Checked before comparing");
      await window.says("Calcium");
      const said = await window.text();
      assert.match(said, /pH in water rose/, "the lime shows");
      assert.match(said, /Calcium rose/);
      assert.match(said, /Cannot tell: .*Phosphorus/, "31 and 33 mg/kg are not told apart");
      assert.match(said, /the most that can be said is that the ground changed/, "no control, no cause");

      // All of it is on the disk: the window opens on the same season.
      await again();
      await openZone(window);
      for (const event of ["Sample KB-1", "Sample KB-2", "Plan,", "Panel, 5 readings"]) await window.says(event);
    } finally {
      await window.close();
    }
  });
}

/** From any place to the zone, by what can be pressed there. */
async function openZone(window) {
  await window.press("Properties");
  await window.press("Kettle Bend, own ground");
  await window.press("Back terrace");
  await window.says("Back terrace", "h1");
}

test("what was written can be taken back", async () => {
  const window = await openWindow({ notebook: join(scratch(), "notebook") });
  try {
    await window.press("Start a notebook here");
    await window.press("Properties");
    await window.press("New property");
    await window.fill("Name", "Kettle Bend, own ground");
    await window.press("Save");
    await window.says("No zone yet");
    await window.press("Today");
    await window.says("Lately");
    await window.press("Undo");
    await window.says("Undone.", "body");
  } finally {
    await window.close();
  }
});
