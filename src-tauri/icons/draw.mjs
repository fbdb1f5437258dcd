// Draws the mark and writes it in every form the systems ask for: `node draw.mjs`.
// Three blades standing on a line of soil, on dark green: drawn here from a few curves, nothing else.
import { writeFileSync } from "node:fs";
import { deflateSync, crc32 } from "node:zlib";

const GROUND = [0x2f, 0x5d, 0x50];
const BLADE = [0xf6, 0xf2, 0xe7];
const SOIL = [0xe0, 0x8a, 0x5f];

/** Blades as two quadratic curves from foot to tip, in a square of 100. */
const BLADES = [
  { foot: [36, 74], tip: [21, 31], bend: [35, 48], width: 9 },
  { foot: [49, 74], tip: [54, 17], bend: [47, 42], width: 10 },
  { foot: [63, 74], tip: [82, 41], bend: [65, 55], width: 8.5 },
];

/** A blade as a polygon: its spine, and half its width to each side, tapering to the tip. */
function outline({ foot, tip, bend, width }) {
  const left = [];
  const right = [];
  for (let step = 0; step <= 24; step += 1) {
    const t = step / 24;
    const at = (axis) => (1 - t) ** 2 * foot[axis] + 2 * t * (1 - t) * bend[axis] + t * t * tip[axis];
    const way = (axis) => 2 * (1 - t) * (bend[axis] - foot[axis]) + 2 * t * (tip[axis] - bend[axis]);
    const length = Math.hypot(way(0), way(1));
    const half = (width / 2) * (1 - t ** 1.7);
    const [across, up] = [(-way(1) / length) * half, (way(0) / length) * half];
    left.push([at(0) + across, at(1) + up]);
    right.unshift([at(0) - across, at(1) - up]);
  }
  return [...left, ...right];
}

const POLYGONS = BLADES.map(outline);

function isInside(polygon, x, y) {
  let inside = false;
  for (let at = 0, before = polygon.length - 1; at < polygon.length; before = at, at += 1) {
    const [x1, y1] = polygon[at];
    const [x2, y2] = polygon[before];
    if (y1 > y !== y2 > y && x < ((x2 - x1) * (y - y1)) / (y2 - y1) + x1) inside = !inside;
  }
  return inside;
}

/** The colour at a point, or nothing outside the rounded square. */
function colourAt(x, y) {
  const [margin, corner] = [3, 20];
  const dx = Math.max(margin + corner - x, x - (100 - margin - corner), 0);
  const dy = Math.max(margin + corner - y, y - (100 - margin - corner), 0);
  if (Math.hypot(dx, dy) > corner) return undefined;
  if (POLYGONS.some((polygon) => isInside(polygon, x, y))) return BLADE;
  return x > 19 && x < 81 && y > 76 && y < 80.5 ? SOIL : GROUND;
}

/** Red, green, blue and opacity, each point averaged over four by four. */
function pixels(size) {
  const out = Buffer.alloc(size * size * 4);
  const fine = 4;
  for (let row = 0; row < size; row += 1) {
    for (let column = 0; column < size; column += 1) {
      const sum = [0, 0, 0];
      let hits = 0;
      for (let sub = 0; sub < fine * fine; sub += 1) {
        const x = ((column + ((sub % fine) + 0.5) / fine) / size) * 100;
        const y = ((row + (Math.floor(sub / fine) + 0.5) / fine) / size) * 100;
        const colour = colourAt(x, y);
        if (!colour) continue;
        hits += 1;
        colour.forEach((part, at) => (sum[at] += part));
      }
      const at = (row * size + column) * 4;
      if (hits > 0) sum.forEach((part, place) => (out[at + place] = Math.round(part / hits)));
      out[at + 3] = Math.round((255 * hits) / (fine * fine));
    }
  }
  return out;
}

function png(size) {
  const raw = pixels(size);
  const lines = Buffer.alloc(size * (size * 4 + 1));
  for (let row = 0; row < size; row += 1) {
    raw.copy(lines, row * (size * 4 + 1) + 1, row * size * 4, (row + 1) * size * 4);
  }
  const head = Buffer.alloc(13);
  head.writeUInt32BE(size, 0);
  head.writeUInt32BE(size, 4);
  head.set([8, 6, 0, 0, 0], 8);
  const chunk = (name, body) => {
    const named = Buffer.concat([Buffer.from(name, "latin1"), body]);
    const ends = Buffer.alloc(8);
    ends.writeUInt32BE(body.length, 0);
    ends.writeUInt32BE(crc32(named), 4);
    return Buffer.concat([ends.subarray(0, 4), named, ends.subarray(4)]);
  };
  return Buffer.concat([
    Buffer.from("\x89PNG\r\n\x1a\n", "latin1"),
    chunk("IHDR", head),
    chunk("IDAT", deflateSync(lines, { level: 9 })),
    chunk("IEND", Buffer.alloc(0)),
  ]);
}

/** Windows: a list of pictures, each a PNG. */
function ico(sizes) {
  const pictures = sizes.map(png);
  const head = Buffer.alloc(6 + 16 * sizes.length);
  head.writeUInt16LE(1, 2);
  head.writeUInt16LE(sizes.length, 4);
  let offset = head.length;
  sizes.forEach((size, at) => {
    const place = 6 + 16 * at;
    head.writeUInt8(size % 256, place);
    head.writeUInt8(size % 256, place + 1);
    head.writeUInt16LE(1, place + 4);
    head.writeUInt16LE(32, place + 6);
    head.writeUInt32LE(pictures[at].length, place + 8);
    head.writeUInt32LE(offset, place + 12);
    offset += pictures[at].length;
  });
  return Buffer.concat([head, ...pictures]);
}

/** Apple: named pictures, each a PNG. */
function icns(named) {
  const parts = Object.entries(named).map(([name, size]) => {
    const body = png(size);
    const head = Buffer.alloc(8);
    head.write(name, "latin1");
    head.writeUInt32BE(body.length + 8, 4);
    return Buffer.concat([head, body]);
  });
  const body = Buffer.concat(parts);
  const head = Buffer.alloc(8);
  head.write("icns", "latin1");
  head.writeUInt32BE(body.length + 8, 4);
  return Buffer.concat([head, body]);
}

const here = new URL("./", import.meta.url);
const write = (name, bytes) => writeFileSync(new URL(name, here), bytes);
write("32x32.png", png(32));
write("128x128.png", png(128));
write("128x128@2x.png", png(256));
write("icon.png", png(512));
write("icon.ico", ico([16, 32, 48, 256]));
write("icon.icns", icns({ ic11: 32, ic07: 128, ic08: 256, ic09: 512 }));
