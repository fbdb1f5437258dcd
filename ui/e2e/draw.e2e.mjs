// A zone's shape drawn by hand in the real window: by pointer in the office, by keys alone, on a phone.
import assert from "node:assert/strict";
import { join } from "node:path";
import { test } from "node:test";

import { openWindow, scratch, until } from "./driver.mjs";

const KEYS = { right: "\uE014", left: "\uE012", up: "\uE013", down: "\uE015", enter: "\uE007", back: "\uE003", shift: "\uE008", escape: "\uE00C" };

/** A notebook with one property and two zones, the second with a shape. */
async function begin(width, height) {
  const window = await openWindow({ notebook: join(scratch(), "notebook") });
  await window.size(width, height);
  await window.press("Start a notebook here");
  await window.says("This notebook is empty");
  const property = await window.call("record.add", { kind: "property", fields: { name: "Kettle Bend" } });
  const add = (fields) => window.call("record.add", { kind: "zone", within: property.id, fields });
  await add({ name: "Front verge", outline: "metres -14,0 -4,0 -4,9 -14,9" });
  const zone = await add({ name: "Back terrace" });
  return { window, zone: zone.id, property: property.id };
}

/** Where a spot of the plan lies in the window, from the grid of the drawing. */
const board = (window) => window.script(`
  const box = document.querySelector("[role=application]").getBoundingClientRect();
  return { left: box.left, top: box.top, width: box.width, height: box.height };`);

async function pointer(window, ...actions) {
  await window.actions([{ type: "pointer", id: "mouse", parameters: { pointerType: "mouse" }, actions }]);
}
const move = (x, y) => ({ type: "pointerMove", duration: 0, x: Math.round(x), y: Math.round(y) });
const click = [{ type: "pointerDown", button: 0 }, { type: "pointerUp", button: 0 }];

async function shift(window, key, times) {
  const strokes = Array.from({ length: times }, () => [{ type: "keyDown", value: key }, { type: "keyUp", value: key }]).flat();
  await window.actions([{ type: "key", id: "keys", actions: [{ type: "keyDown", value: KEYS.shift }, ...strokes, { type: "keyUp", value: KEYS.shift }] }]);
}

test("a shape is drawn by pointer, a corner is dragged, and the record keeps it", async () => {
  const { window, zone } = await begin(1440, 900);
  try {
    await window.go("draw", zone);
    await window.says("Place the first corner");
    await window.script(`document.querySelector("[role=application]").scrollIntoView({ block: "center" })`);
    const { left, top, width, height } = await board(window);
    const at = (across, down) => move(left + across * width, top + down * height);
    for (const [across, down] of [[0.55, 0.75], [0.85, 0.76], [0.84, 0.4]]) await pointer(window, at(across, down), ...click);
    await window.says("Side 3", ".said");
    // The crooked second corner was made square: the first side runs due east.
    await until(async () => (await window.count("[role=application] button")) === 3, "three corners are placed");
    await pointer(window, at(0.55, 0.4), ...click);
    await until(async () => (await window.count("[role=application] button")) === 4, "four corners are placed");
    await window.click("[role=application] button:first-of-type");
    await window.says("Area", ".said");
    assert.equal(await window.script(`return document.querySelectorAll(".hand").length`), 0, "the shape is closed");

    // A corner is dragged over a side: it is refused with what to do, and brought back by Undo.
    const middle = (at) => window.script(
      `const box = document.querySelectorAll("[role=application] button")[arguments[0]].getBoundingClientRect();
       return [box.left + box.width / 2, box.top + box.height / 2];`, at);
    const [x, y] = await middle(2);
    const [x1, y1] = await middle(0);
    await pointer(window, move(x, y), { type: "pointerDown", button: 0 }, move(x1 - 60, y1 - 60), move(x1 - 90, y1 - 60), { type: "pointerUp", button: 0 });
    await window.says("cross or touch; put the corners in the order one walks them", ".said");
    assert.equal(await window.script(`return [...document.querySelectorAll("button")].find((one) => one.textContent === "Keep this shape").disabled`), true);
    assert.deepEqual(await window.axe(), []);
    await window.press("Undo");
    await window.says("Area", ".said");
    assert.deepEqual(await window.axe(), []);
    await window.press("Keep this shape");
    await window.says("Back terrace", "h1");
    const view = await window.call("zone.outline", { zone });
    assert.equal(view.corners.length, 4);
    assert.ok(view.outline.startsWith("metres "), view.outline);
    const [a, b] = view.corners;
    assert.equal(a.north, b.north, "the first side was kept square");
    // It is one change, which one Undo takes back.
    await window.press("Undo");
    await until(async () => (await window.call("zone.outline", { zone })).corners.length === 0, "the shape is taken back");
  } finally {
    await window.close();
  }
});

for (const [name, width, height] of [["office", 1440, 900], ["field", 390, 844]]) {
  test(`a shape is drawn by keys alone, ${name}`, async () => {
    const { window, zone } = await begin(width, height);
    try {
      await window.go("draw", zone);
      await window.says("Place the first corner");
      await window.script(`document.querySelector("[role=application]").focus()`);
      await window.key(KEYS.enter);
      await shift(window, KEYS.right, 12);
      await window.says("Side 1: 12 m", ".said");
      await window.key(KEYS.enter);
      await shift(window, KEYS.up, 5);
      await window.key(KEYS.enter);
      // One too many is taken back.
      await shift(window, KEYS.up, 3);
      await window.key(KEYS.enter);
      await window.key(KEYS.back);
      // A typed length in the direction one draws.
      await shift(window, KEYS.left, 1);
      await window.fill("Length of side 3", "12");
      await window.press("Place the corner");
      await window.press("Close the shape");
      await window.says("Area 60 m²", ".said");
      await window.fits(`the drawing in the ${name}`);
      assert.deepEqual(await window.axe(), []);
      // A corner is moved by 0.1 m.
      await window.script(`document.querySelectorAll("[role=application] button")[2].focus()`);
      await window.key(KEYS.up);
      await window.says("Area 60.6 m²", ".said");
      await window.press("Keep this shape");
      await window.says("Back terrace", "h1");
      const view = await window.call("zone.outline", { zone });
      assert.equal(view.area_m2.toFixed(3), "60.600");
      assert.deepEqual(view.sides.map((side) => side.toFixed(2)), ["12.00", "5.10", "12.00", "5.00"]);
    } finally {
      await window.close();
    }
  });
}
