// Script and styles, compressed, stay small enough for an old phone; the build fails otherwise.
import { readdirSync, readFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { gzipSync } from "node:zlib";

const MOST = 120 * 1024;
const folder = fileURLToPath(new URL("../dist/", import.meta.url));

const weights = readdirSync(folder, { recursive: true, encoding: "utf8" })
  .filter((name) => /\.(js|css|html)$/.test(name))
  .map((name) => ({ name, weight: gzipSync(readFileSync(folder + name), { level: 9 }).length }));
const sum = weights.reduce((all, one) => all + one.weight, 0);
for (const { name, weight } of weights) console.log(`${String(weight).padStart(8)} ${name}`);
console.log(`${String(sum).padStart(8)} bytes of script and styles, compressed; at most ${MOST}`);
if (sum > MOST) process.exit(1);
