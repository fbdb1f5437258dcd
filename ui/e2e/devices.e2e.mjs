// Two windows, one of them as small as a phone, pair through the screen and show each other's
// entries as they are made.
import assert from "node:assert/strict";
import { mkdirSync } from "node:fs";
import { join } from "node:path";
import { after, before, test } from "node:test";

import { openWindow, scratch } from "./driver.mjs";
import { SIZES } from "./places.mjs";

const pictures = process.env.SWARDBOOK_PICTURES;
const [OFFICE, FIELD] = SIZES;
const folder = scratch();
let office;
let phone;
let shed;

before(async () => {
  if (pictures) mkdirSync(pictures, { recursive: true });
  office = await openWindow({ notebook: join(folder, "office") });
  phone = await openWindow({ notebook: join(folder, "phone") });
  shed = await openWindow({ notebook: join(folder, "shed") });
  await office.size(OFFICE.width, OFFICE.height);
  await phone.size(FIELD.width, FIELD.height);
  await shed.size(OFFICE.width, OFFICE.height);
  for (const window of [office, phone, shed]) {
    await window.press("Start a notebook here");
    await window.says("This notebook is empty");
  }
});
after(async () => {
  await office?.close();
  await phone?.close();
  await shed?.close();
});

async function shoot(name) {
  if (!pictures) return;
  await office.picture(join(pictures, `${name}-office-light.png`));
  await phone.picture(join(pictures, `${name}-field-light.png`));
}

/** Gives this device a name, as a person does on its own row. */
async function call(window, name) {
  await window.go("devices");
  await window.says("Who holds it");
  await window.press("Rename");
  await window.fill("Name", name);
  await window.press("Save");
  await window.says(name);
}

test("they pair by text, after both have shown the same words", async () => {
  await office.go("add", "property");
  await office.fill("Name", "Kettle Bend");
  await office.press("Save");
  await office.says("No zone yet");
  await office.press("New zone");
  await office.fill("Name", "Back terrace");
  await office.press("Save");
  await office.says("Back terrace", "h1");

  await call(office, "Office machine");
  await call(phone, "Phone");
  await office.says("Only this device holds the notebook", "nav");
  await office.press("Show a code");
  await office.says("sward1-");
  await phone.press("Enter a code");
  await shoot("pairing-code");
  const code = await office.text(".code");

  await phone.fill("The text that it shows", code.slice(0, 40));
  await phone.press("Join");
  await phone.says("copy all of it");
  await phone.fill("The text that it shows", code);
  await phone.press("Join");
  await phone.says("Compare these words with those on Office machine");
  await office.says("Compare these words with those on Phone");
  await shoot("pairing-words");
  assert.equal(await phone.text(".words"), await office.text(".words"));
  await office.press("They are the same");
  await office.says("Waiting for the answer on Phone");
  await phone.press("They are the same");
  await office.says("Phone is paired");
  await phone.says("Office machine is paired");
  await office.says("The same as on Phone", "nav");
  await phone.says("The same as on Office machine", ".bar");
  await shoot("paired");
});

test("an entry made on one is on the other's open screen, without a touch there", async () => {
  const [zone] = await phone.call("zone.list", {});
  await office.go("zone", zone.id);
  await office.says("Back terrace", "h1");
  await phone.go("add", "note", zone.id);
  await phone.fill("Note", "wet hole by the path");
  await phone.press("Save");
  const made = Date.now();
  await office.says("wet hole by the path");
  console.log(`on the office's screen ${Date.now() - made} ms after it was seen to be saved on the phone`);

  await phone.go("zone", zone.id);
  await phone.says("wet hole by the path");
  await office.call("record.add", { kind: "observation", within: zone.id, fields: { sort: "note", date: "2026-09-14", note: "seen from the desk" } });
  await phone.says("seen from the desk");
  await shoot("live");
});

test("what was written apart is decided by a person, and sync says how it stands", async () => {
  const [zone] = await office.call("zone.list", {});
  await phone.go("devices");
  await phone.press("Pause sync");
  await phone.says("Sync is paused", ".bar");
  await office.call("record.edit", { id: zone.id, fields: { area: 120 } });
  await phone.call("record.edit", { id: zone.id, fields: { area: 140 } });
  await phone.go("devices");
  await phone.says("1 entry not yet at Office machine", ".bar");
  await shoot("waiting");
  await phone.press("Resume sync");
  await phone.says("The same as on Office machine", ".bar");
  await office.go("decide");
  await office.says("120");
  await office.says("140");
  await phone.go("decide");
  await phone.says("140");
  await shoot("conflict");
  for (const window of [office, phone]) assert.deepEqual(await window.axe(), []);
  await office.click('[aria-label="Take this one: 140"]');
  await office.says("Nothing to decide");
  await phone.says("Nothing to decide");
});

test("a third window joins by a picture of the code that another one shows", async () => {
  await office.go("devices");
  await office.press("Show a code");
  await office.says("sward1-");
  const seen = join(folder, "code.png");
  await office.picture(seen);
  const blank = join(folder, "blank.png");
  await shed.picture(blank);

  await shed.go("devices");
  await shed.press("Enter a code");
  shed.picksNext(blank);
  await shed.press("Choose a picture of the code");
  await shed.says("no QR code was found");
  shed.picksNext(seen);
  await shed.press("Choose a picture of the code");
  await shed.says("Compare these words with those on Office machine");
  await office.says("Compare these words with those on");
  assert.equal(await shed.text(".words"), await office.text(".words"));
  await shed.press("They are the same");
  await office.press("They are the same");
  await shed.says("Office machine is paired");
  await shed.says("The same as on", "nav");
  // It has heard of the phone, and knows the zone.
  const zones = await shed.call("zone.list", {});
  assert.deepEqual(zones.map((zone) => zone.name), ["Back terrace"]);
  await shed.close();
  shed = undefined;
});

test("a removed device is told, and gets nothing more", async () => {
  await office.go("devices");
  await office.says("Phone");
  await office.click('[aria-label="Remove Phone"]');
  await office.says("It keeps what it already has", "dialog[open]");
  await office.press("Remove it for ever");
  await office.says("removed");
  await phone.go("devices");
  await phone.says("does not let this device in");
  await shoot("removed");
});
