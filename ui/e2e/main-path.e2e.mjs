// The main job in the real window, from an empty folder to an accepted plan.
import { join } from "node:path";
import { after, before, test } from "node:test";

import { openWindow, scratch } from "./driver.mjs";

let window;
before(async () => {
  window = await openWindow({ notebook: join(scratch(), "notebook") });
});
after(() => window?.close());

test("a zone, a sample, its panel, the reading and the plan", async () => {
  await window.press("Start a notebook here");
  await window.says("This notebook is empty");

  await window.go("add", "property");
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
  await window.fill("Root-zone depth", "100");
  await window.press("Save");
  // Ground that was never fed waits for nothing.
  await window.says("Back terrace", "h1");
  await window.says("184 m²");

  await window.press("Cores");
  await window.says("Pull");
  await window.press("Begin this sample");
  await window.says("cores in the bag");
  await window.press("Core 1 kept");
  await window.press("Core 2 kept");
  await window.says("Core 3 kept");
  await window.press("Set aside");
  await window.press("imported sand");
  await window.says("Core 3");
  await window.press("Core 4 kept");
  await window.says("Core 4 kept.", "body");
  await window.says("Set aside: imported sand");
  await window.says("3", ".count b");

  await window.press("Type the readings");
  const readings = [
    ["pH in water", "5.2", "pH"],
    ["K (Mehlich-3)", "21", "mg/kg"],
    ["Ca (Mehlich-3)", "310", "mg/kg"],
  ];
  for (const [at, [analyte, value, unit]] of readings.entries()) {
    await window.fillMember("analyte", at, analyte);
    await window.fillMember("value", at, value);
    await window.fillMember("unit", at, unit);
  }
  await window.press("Save");
  await window.says("As printed");
  await window.press("Read this panel");
  await window.says("Potassium");
  await window.press("Make a plan from it");
  await window.says("Which calcium source");
  await window.press("Accept this plan");
  await window.says("Put down");
});

test("what was written can be taken back", async () => {
  await window.go("today");
  await window.says("Lately");
  await window.press("Undo");
  await window.says("Undone.", "body");
});
