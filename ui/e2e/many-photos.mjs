// How smoothly the real window scrolls through 3,000 photos: a notebook is made of them, the wheel is
// turned over the grid, and the time between frames is printed, with what the page itself took.
//
// SWARDBOOK_PHOTOS asks for another number.
import { execFileSync } from "node:child_process";
import { mkdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { setTimeout as pause } from "node:timers/promises";

import { CLI, openWindow, scratch, until } from "./driver.mjs";
import { drawnPhotos } from "./photos.mjs";

const COUNT = Number(process.env.SWARDBOOK_PHOTOS ?? 3000);
const TURNS = 120;

/** A notebook whose one zone has so many photos: one small picture, each file with another end. */
function notebookOfMany() {
  const [folder, notebook] = [join(scratch(), "camera"), join(scratch(), "notebook")];
  mkdirSync(folder);
  const [drawn] = drawnPhotos();
  const run = (...asked) => execFileSync(CLI, ["--notebook", notebook, ...asked], { stdio: ["ignore", "ignore", "inherit"] });
  const small = join(scratch(), "small.jpg");
  // Small ones do: the grid shows pictures of one size whatever they were made from.
  const bytes = process.env.SWARDBOOK_PHOTO ? readFileSync(process.env.SWARDBOOK_PHOTO) : smallOf(drawn, small);
  for (let at = 0; at < COUNT; at += 1) {
    const end = Buffer.alloc(4);
    end.writeUInt32LE(at);
    writeFileSync(join(folder, `${String(at).padStart(5, "0")}.jpg`), Buffer.concat([bytes, end]));
  }
  run("init");
  run("property", "add", "--name", "Kettle Bend");
  run("zone", "add", "--name", "Front verge", "--property", "Kettle Bend");
  const begun = Date.now();
  run("photo", "add", folder, "--zone", "Front verge");
  console.log(`${COUNT} photos kept in ${((Date.now() - begun) / 1000).toFixed(1)} s`);
  return notebook;
}

/** The program's own small picture of a photo. */
function smallOf(photo, to) {
  const book = join(scratch(), "book");
  const run = (...asked) => execFileSync(CLI, ["--notebook", book, ...asked], { encoding: "utf8" });
  run("init");
  run("property", "add", "--name", "One");
  run("zone", "add", "--name", "One", "--property", "One");
  run("photo", "add", photo, "--zone", "One");
  const [line] = JSON.parse(run("photo", "list", "--zone", "One", "--json"));
  run("photo", "export", line.id, "--out", to, "--what", "small");
  return readFileSync(to);
}

const of = (all, share) => all.toSorted((one, two) => one - two)[Math.min(all.length - 1, Math.floor(share * all.length))];

const window = await openWindow({ notebook: notebookOfMany() });
await window.size(1440, 960);
const [zone] = await until(() => window.call("zone.list", {}), "there is a zone");
await window.go("photos", zone.id);
await window.says(`${COUNT} photos`);
await until(() => window.count(".window li"), "the grid is there");
await window.settled();
await pause(1000);
console.log(`${await window.count(".window li")} cells of ${COUNT} are there`);

// Frames as they come, and how long the page's own work after each turn of the wheel lasts.
await window.script(`
  const grid = document.querySelector(".window");
  grid.scrollIntoView({ block: "center" });
  window.frames = [];
  window.own = [];
  let last;
  const step = (now) => {
    if (last !== undefined) window.frames.push(now - last);
    last = now;
    window.stepping = requestAnimationFrame(step);
  };
  window.stepping = requestAnimationFrame(step);
  // From the event to the end of what it set off before the next frame is drawn.
  grid.addEventListener("scroll", () => {
    const begun = performance.now();
    queueMicrotask(() => queueMicrotask(() => window.own.push(performance.now() - begun)));
  }, { capture: true });`);
await pause(500);
const still = await window.script("return window.frames.splice(0)");
const box = await window.script(
  `const box = document.querySelector(".window").getBoundingClientRect();
   return [Math.round(box.left + box.width / 2), Math.round(box.top + box.height / 2)];`,
);
let turned = 0;
for (let at = 0; at < TURNS; at += 1) {
  await window.wheel(box, at < (2 * TURNS) / 3 ? 700 : -700);
  turned += 1;
}
await pause(300);
const { frames, own, top } = await window.script(
  `cancelAnimationFrame(window.stepping);
   return { frames: window.frames, own: window.own, top: document.querySelector(".window").scrollTop };`,
);
await window.close();
const line = (name, all) =>
  console.log(
    `${name}: ${all.length}, median ${of(all, 0.5).toFixed(1)} ms, 95 % ${of(all, 0.95).toFixed(1)} ms, longest ${Math.max(...all).toFixed(1)} ms, ${all.filter((one) => one > 50).length} over 50 ms`,
  );
console.log(`${turned} turns of the wheel; the grid stands ${Math.round(top)} px down`);
line("frames at rest", still);
line("frames while it scrolls", frames);
if (own.length > 0) line("the page's own work for a scroll", own);
