// Photo files for the window's tests: drawn by the program's own demo, with the notes of an invented
// camera put in front.
import { execFileSync } from "node:child_process";
import { appendFileSync, mkdirSync, readFileSync, readdirSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";

import { CLI, scratch } from "./driver.mjs";

const json = (...asked) => JSON.parse(execFileSync(CLI, [...asked, "--json"], { encoding: "utf8" }));

/** The demo's photos of one zone, a file for each day, earliest first. */
export function drawnPhotos() {
  const [demo, out] = [join(scratch(), "demo"), scratch()];
  execFileSync(CLI, ["demo", demo], { stdio: ["ignore", "ignore", "inherit"] });
  const days = new Map(
    json("--notebook", demo, "photo", "list", "--zone", "back terrace").map((line) => [line.date, line.id]),
  );
  // As they came: without the position, the copy would have notes of its own.
  return [...days].sort().map(([day, id]) => {
    const path = join(out, `${day}.jpg`);
    execFileSync(CLI, ["--notebook", demo, "photo", "export", id, "--out", path, "--with-location"], { stdio: "ignore" });
    return path;
  });
}

/** Writes a JPEG with maker, model and the time it was taken: `2026:09:14 10:32:05` (CIPA DC-008). */
export function withNotes(from, to, taken) {
  const jpeg = readFileSync(from);
  const [ASCII, LONG] = [2, 4];
  const texts = [
    [0x010f, "Invented\0"],
    [0x0110, "Field 3\0"],
  ];
  const when = `${taken}\0`;
  // A little-endian TIFF: the first folder with three entries, then that of the exposure with one.
  const [first, second] = [8, 8 + 2 + 3 * 12 + 4];
  let free = second + 2 + 12 + 4;
  const block = Buffer.alloc(free + texts.reduce((sum, [, text]) => sum + text.length, 0) + when.length);
  block.write("II*\0", 0, "latin1");
  block.writeUInt32LE(first, 4);
  const entry = (at, tag, type, count, value) => {
    block.writeUInt16LE(tag, at);
    block.writeUInt16LE(type, at + 2);
    block.writeUInt32LE(count, at + 4);
    block.writeUInt32LE(value, at + 8);
  };
  const put = (text) => {
    block.write(text, free, "latin1");
    free += text.length;
    return free - text.length;
  };
  block.writeUInt16LE(3, first);
  texts.forEach(([tag, text], at) => entry(first + 2 + 12 * at, tag, ASCII, text.length, put(text)));
  entry(first + 2 + 24, 0x8769, LONG, 1, second);
  block.writeUInt16LE(1, second);
  entry(second + 2, 0x9003, ASCII, when.length, put(when));
  const head = Buffer.from([0xff, 0xe1, 0, 0, ...Buffer.from("Exif\0\0", "latin1")]);
  head.writeUInt16BE(2 + 6 + block.length, 2);
  writeFileSync(to, Buffer.concat([jpeg.subarray(0, 2), head, block, jpeg.subarray(2)]));
}

/** The slate of a zone as a picture. */
export function slateOf(notebook, zone, to) {
  execFileSync(CLI, ["--notebook", notebook, "photo", "slate", "--zone", zone, "--out", to], { stdio: "ignore" });
}

/** The demo's photos as small as a list shows them. */
function smallPhotos() {
  const demo = join(scratch(), "demo");
  execFileSync(CLI, ["demo", demo], { stdio: ["ignore", "ignore", "inherit"] });
  const folder = join(demo, "cache", "small");
  return readdirSync(folder).filter((name) => name.endsWith("-256.jpg")).map((name) => join(folder, name));
}

/**
 * A notebook in a folder whose one zone keeps so many small photos, four a day, beside a few large ones that are measured.
 *
 * Each is one of the demo's with other notes and a number behind its end, so that it is another
 * file with another picture made of it.
 */
export function manyPhotos(count, folder = scratch()) {
  const [notebook, camera] = [join(folder, "notebook"), join(folder, "camera")];
  const book = (...asked) => json("--notebook", notebook, ...asked);
  execFileSync(CLI, ["--notebook", notebook, "init"], { stdio: "ignore" });
  book("property", "add", "--name", "Kettle Bend");
  const zone = book("zone", "add", "--property", "Kettle Bend", "--name", "Front verge").id;
  const drawn = smallPhotos();
  mkdirSync(camera);
  const day = (at) => new Date(Date.UTC(2020, 0, 1 + Math.floor(at / 4))).toISOString().slice(0, 10).replaceAll("-", ":");
  for (let at = 0; at < count; at += 1) {
    const path = join(camera, `${String(at).padStart(5, "0")}.jpg`);
    withNotes(drawn[at % drawn.length], path, `${day(at)} 10:0${at % 4}:00`);
    appendFileSync(path, String(at));
  }
  const added = JSON.parse(
    execFileSync(CLI, ["--notebook", notebook, "photo", "add", camera, "--zone", zone, "--json"], { encoding: "utf8", maxBuffer: 1 << 30 }),
  );
  if (added.added.length !== count) throw new Error(`${added.added.length} of ${count} photos were kept`);
  rmSync(camera, { recursive: true });
  // A few large ones, measured, so that the series is drawn above the list.
  const measured = book("photo", "add", ...drawnPhotos(), "--zone", zone).added.map((record) => record.id);
  execFileSync(CLI, ["--notebook", notebook, "photo", "measure", ...measured], { stdio: "ignore" });
  return { notebook, zone };
}
