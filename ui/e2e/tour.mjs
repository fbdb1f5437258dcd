// The pictures of the README's tour, from the demo season in the real window, into ui/tour.
import { execFileSync } from "node:child_process";
import { mkdirSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";

import { CLI, newest, openWindow, scratch } from "./driver.mjs";

const OFFICE = [1240, 900];
const FIELD = [390, 780];

/** What is shown: where, how wide, in which look, and what is pressed first. */
const SHOTS = [
  { name: "zone", at: (ids) => ["zone", ids.zone], ready: "Season", size: OFFICE, look: "light" },
  { name: "reading", at: (ids) => ["reading", ids.panel], ready: "Make a plan from it", size: OFFICE, look: "light", press: "Show the working" },
  { name: "property", at: (ids) => ["property", ids.property], ready: "New zone", size: OFFICE, look: "light" },
  { name: "compare", at: (ids) => ["compare", ids.zone], ready: "Checked before comparing", size: OFFICE, look: "dark" },
  { name: "today-field", at: () => ["today"], ready: "clear to sample", size: FIELD, look: "light" },
  { name: "cores-field", ready: "in the bag", size: FIELD, look: "sun", begin: true },
];

const folder = fileURLToPath(new URL("../tour/", import.meta.url));
mkdirSync(folder, { recursive: true });
const notebook = join(scratch(), "demo");
execFileSync(CLI, ["demo", notebook], { stdio: ["ignore", "ignore", "inherit"] });
const window = await openWindow({ notebook });
try {
  await window.says("clear to sample");
  const ids = await newest(window);
  for (const shot of SHOTS) {
    await window.size(...shot.size);
    await window.theme(shot.look);
    if (shot.begin) {
      await window.go("sample-plan", ids.zone);
      await window.says("Pull");
      await window.press("Begin this sample");
      for (const core of [1, 2, 3]) {
        await window.press(`Core ${core} kept`);
        await window.says(`Core ${core} kept.`, "body");
      }
      await window.press("Close");
    } else {
      await window.go(...shot.at(ids));
    }
    await window.says(shot.ready);
    if (shot.press) await window.press(shot.press);
    await window.script("document.querySelector('main').scrollTo(0, 0); document.activeElement?.blur()");
    await window.picture(join(folder, `${shot.name}.png`));
    console.log(`${shot.name}.png`);
  }
} finally {
  await window.close();
}
