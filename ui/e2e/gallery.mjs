// Pictures of every place into target/gallery, with the checks that go with them.
import { spawnSync } from "node:child_process";
import { fileURLToPath } from "node:url";

const folder = process.env.SWARDBOOK_PICTURES ?? fileURLToPath(new URL("../../target/gallery/", import.meta.url));
const walk = fileURLToPath(new URL("places.e2e.mjs", import.meta.url));
const done = spawnSync(process.execPath, ["--test", walk], {
  stdio: "inherit",
  env: { ...process.env, SWARDBOOK_PICTURES: folder },
});
console.log(`The pictures lie in ${folder}`);
process.exit(done.status ?? 1);
