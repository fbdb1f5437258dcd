// How fast the real window is: the start to the first useful paint, a keypress in the grid of a
// panel, the page of a zone with ten years, the photos of a zone with thousands, memory at rest.
// Prints one table.
//
// SWARDBOOK_PHOTOS is the number of photos (3,000 without it); they are made anew each time.
// Needs the notebook of 2,000 zones that `core/app/benches/notebook.rs` makes and keeps beside the
// build; SWARDBOOK_LARGE names its folder.
import { execFileSync } from "node:child_process";
import { cpSync, readFileSync, readdirSync } from "node:fs";
import { join } from "node:path";
import { setTimeout as pause } from "node:timers/promises";

import { CLI, LARGE, largeIsThere, openWindow, scratch } from "./driver.mjs";
import { manyPhotos } from "./photos.mjs";

const STARTS = Number(process.env.SWARDBOOK_STARTS ?? 7);

const median = (all) => all.toSorted((one, two) => one - two)[Math.floor(all.length / 2)];
const ms = (value) => `${Math.round(value)} ms`;
/** The best too: on a machine that does other work it is the one that says what the program costs. */
const cells = (all) => [ms(Math.min(...all)), ms(median(all)), ms(Math.max(...all))];

/** What the page answers, once it does. */
async function shown(window, body) {
  for (let tries = 0; tries < 1000; tries += 1) {
    const answer = await window.script(body);
    if (answer !== null) return answer;
    await pause(20);
  }
  throw new Error(`the page never answered: ${body}`);
}

/** From the start of the process to the first screen with the notebook's own words on it. */
async function start(notebook) {
  const home = scratch();
  const took = [];
  for (let at = 0; at <= STARTS; at += 1) {
    const begun = Date.now();
    const window = await openWindow({ notebook, home });
    await window.says("clear to sample");
    const painted = await shown(window, `
      const mark = performance.getEntriesByName("first-answer")[0];
      return mark ? performance.timeOrigin + mark.startTime : null;`);
    // The first start of all fills the caches of the disk.
    if (at > 0) took.push(painted - window.begun);
    if (begun > painted) throw new Error("the clocks of the page and of this program differ");
    await window.leave();
  }
  return took;
}

/** From a key's own time to the frame after the one it changed. */
async function keypress(window) {
  await window.script(`
    window.took = [];
    addEventListener("keydown", (event) => {
      requestAnimationFrame(() => {
        const channel = new MessageChannel();
        channel.port1.onmessage = () => window.took.push(performance.now() - event.timeStamp);
        channel.port2.postMessage(0);
      });
    }, true);`);
  await window.click("input[name=value]");
  for (const key of "5,21234567890".repeat(4)) await window.key(key);
  await pause(300);
  return window.script("return window.took");
}

/** From a press on a zone to its figure and its season on the screen. */
async function zonePage(window, zone) {
  const took = [];
  for (let at = 0; at < 5; at += 1) {
    await window.go("materials");
    await window.says("Materials", "h1");
    await window.script(
      `window.painted = undefined;
       const begun = performance.now();
       location.hash = "#/zone/" + arguments[0];
       const look = () => {
         if (document.querySelector("main svg.sb-fig") && document.querySelector("main [data-event]")) {
           requestAnimationFrame(() => (window.painted = performance.now() - begun));
         } else requestAnimationFrame(look);
       };
       look();`,
      zone,
    );
    took.push(await shown(window, "return window.painted ?? null"));
  }
  return took;
}

/**
 * A second and a half of scrolling down and up by so many px a frame: the frames, in ms each, and the
 * longest time in which the page's own thread came to nothing else.
 */
async function scrolling(window, css = "main", by = 60) {
  await window.script(
    `window.scrolled = undefined;
    const scroller = document.querySelector(arguments[0]);
    const by = arguments[1];
    const frames = [];
    // The engine tells of no long tasks; a message to oneself waits behind each.
    const channel = new MessageChannel();
    let longest = 0;
    let heard = performance.now();
    channel.port1.onmessage = () => {
      const now = performance.now();
      longest = Math.max(longest, now - heard);
      heard = now;
      if (!window.scrolled) channel.port2.postMessage(0);
    };
    channel.port2.postMessage(0);
    let last = performance.now();
    const step = (now) => {
      frames.push(now - last);
      last = now;
      scroller.scrollTop += frames.length < 45 ? by : -by;
      if (frames.length < 90) requestAnimationFrame(step);
      else window.scrolled = { frames: frames.slice(1), longest };
    };
    requestAnimationFrame(step);`,
    css,
    by,
  );
  return shown(window, "return window.scrolled ?? null");
}

/** From the press on the zone's photos to the first of them on the screen. */
async function photosPage(window, zone) {
  const took = [];
  for (let at = 0; at < 5; at += 1) {
    await window.go("zone", zone);
    await window.says("Front verge", "h1");
    await window.settled();
    await window.script(
      `window.painted = undefined;
       const begun = performance.now();
       document.querySelector('a[href="#/photos/' + arguments[0] + '"]').click();
       const look = () => {
         const first = document.querySelector("main li img");
         if (first?.complete && first.naturalWidth > 0) requestAnimationFrame(() => (window.painted = performance.now() - begun));
         else requestAnimationFrame(look);
       };
       look();`,
      zone,
    );
    took.push(await shown(window, "return window.painted ?? null"));
  }
  return took;
}

/** The share of memory of the window and what it started, in MB: pages used by several count in part. */
function memory(pid) {
  const children = new Map();
  for (const name of readdirSync("/proc").filter((one) => /^\d+$/.test(one))) {
    try {
      const stat = readFileSync(`/proc/${name}/stat`, "utf8");
      const parent = Number(stat.slice(stat.lastIndexOf(")") + 2).split(" ")[1]);
      children.set(parent, [...(children.get(parent) ?? []), Number(name)]);
    } catch {
      // It ended while it was looked at.
    }
  }
  const all = [];
  const walk = (one) => (children.get(one) ?? []).forEach((child) => (all.push(child), walk(child)));
  walk(pid);
  return all.reduce((sum, one) => sum + share(one), 0);
}

function share(pid) {
  try {
    return Number(/^Pss:\s+(\d+)/m.exec(readFileSync(`/proc/${pid}/smaps_rollup`, "utf8"))?.[1] ?? 0) / 1024;
  } catch {
    return 0;
  }
}

const rows = [];
const demo = join(scratch(), "demo");
execFileSync(CLI, ["demo", demo], { stdio: ["ignore", "ignore", "inherit"] });
const demoStarts = await start(demo);
rows.push(["start to first useful paint, demo", ...cells(demoStarts)]);

let window = await openWindow({ notebook: demo });
await window.says("clear to sample");
await pause(5000);
rows.push(["memory at rest, demo", `${Math.round(memory(window.pid))} MB`, "", ""]);
const due = await window.call("zone.list", {});
const { season } = await window.call("zone.show", { zone: due[0].id });
await window.go("panel-type", season.find((event) => event.kind === "sample").id);
await window.says("Another reading");
const keys = await keypress(window);
rows.push(["keypress to paint, panel grid", ...cells(keys)]);
await window.leave();

if (largeIsThere()) {
  const large = join(scratch(), "large");
  // Its file counts as untouched by the time of its last write.
  cpSync(LARGE, large, { recursive: true, preserveTimestamps: true });
  const starts = await start(large);
  rows.push(["start to first useful paint, 2,000 zones", ...cells(starts)]);
  rows.push(["  ratio to the demo", (Math.min(...starts) / Math.min(...demoStarts)).toFixed(2), (median(starts) / median(demoStarts)).toFixed(2), ""]);
  window = await openWindow({ notebook: large });
  await window.says("clear to sample");
  await pause(5000);
  rows.push(["memory at rest, 2,000 zones", `${Math.round(memory(window.pid))} MB`, "", ""]);
  const [, , zone] = await window.call("zone.list", {});
  const pages = await zonePage(window, zone.id);
  rows.push(["zone page with ten years", ...cells(pages)]);
  const scrolled = await scrolling(window);
  rows.push(["  a frame while it scrolls", ...cells(scrolled.frames)]);
  rows.push(["  longest task meanwhile", "", "", ms(scrolled.longest)]);
  await window.leave();
} else {
  rows.push([`no notebook of 2,000 zones in ${LARGE}`, "", "", ""]);
}

const PHOTOS = Number(process.env.SWARDBOOK_PHOTOS ?? 3000);
const many = manyPhotos(PHOTOS);
window = await openWindow({ notebook: many.notebook });
await window.says("clear to sample");
const said = PHOTOS.toLocaleString("en");
rows.push([`${said} photos of a zone`, ...cells(await photosPage(window, many.zone))]);
for (const [words, by] of [["read", 60], ["leafed through", 600]]) {
  const scrolled = await scrolling(window, "main .window", by);
  rows.push([`  a frame while they are ${words}`, ...cells(scrolled.frames)]);
  rows.push(["  longest task meanwhile", "", "", ms(scrolled.longest)]);
}
rows.push(["  memory", `${Math.round(memory(window.pid))} MB`, "", ""]);
await window.leave();

const widths = [0, 1, 2, 3].map((at) => Math.max(...rows.map((row) => row[at].length), 6));
const line = (row) => row.map((cell, at) => (at === 0 ? cell.padEnd(widths[at]) : cell.padStart(widths[at]))).join("  ");
console.log(line(["", "best", "median", "worst"]));
for (const row of rows) console.log(line(row));
