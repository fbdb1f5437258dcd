// A small WebDriver client, and the real window behind it: Debian's WebKitWebDriver drives our own
// web view once the window is told that it may be driven.
import { spawn, spawnSync } from "node:child_process";
import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { createServer } from "node:net";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { setTimeout as pause } from "node:timers/promises";
import { fileURLToPath } from "node:url";

const ELEMENT = "element-6066-11e4-a52e-4f735466cecf";
const AXE = readFileSync(new URL("../node_modules/axe-core/axe.min.js", import.meta.url), "utf8");

/** How long anything may take to appear before it counts as missing. */
const PATIENCE_MS = 30_000;

/** The window's program, from the environment or where cargo puts it. */
export const DESKTOP =
  process.env.SWARDBOOK_DESKTOP ?? fileURLToPath(new URL("../../target/debug/swardbook-desktop", import.meta.url));

/** The command line's program. */
export const CLI = process.env.SWARDBOOK_CLI ?? fileURLToPath(new URL("../../target/debug/swardbook", import.meta.url));

/** The notebook of 2,000 zones, from the environment or where the benchmark of the core keeps it. */
export const LARGE =
  process.env.SWARDBOOK_LARGE ??
  fileURLToPath(new URL("../../target/bench-notebooks/v2-2000/book", import.meta.url));

/** Whether it was made. */
export function largeIsThere() {
  return existsSync(LARGE);
}

const scratches = [];
process.on("exit", () => {
  for (const folder of scratches) {
    try {
      // A window that was just closed may still be writing its caches.
      rmSync(folder, { recursive: true, force: true, maxRetries: 20, retryDelay: 100 });
    } catch (error) {
      console.error(`${folder} could not be deleted: ${error.message}`);
    }
  }
});

/** A folder that goes when the program ends. */
export function scratch() {
  const folder = mkdtempSync(join(tmpdir(), "swardbook-e2e-"));
  scratches.push(folder);
  return folder;
}

/** The surroundings of a program whose home is this folder. */
export function homeOf(home) {
  return {
    ...process.env,
    HOME: home,
    XDG_DATA_HOME: join(home, "data"),
    XDG_CONFIG_HOME: join(home, "config"),
    XDG_CACHE_HOME: join(home, "cache"),
    LANG: "en_GB.UTF-8",
  };
}

/** Opens the real window on a notebook; `home` holds what the window itself keeps. */
export async function openWindow({ notebook, home = scratch() }) {
  const port = await freePort();
  const picks = join(home, "picks");
  const driver = spawn("WebKitWebDriver", [`--port=${port}`], {
    stdio: "ignore",
    env: {
      ...homeOf(home),
      // The system's own file dialog is outside the window and cannot be driven; a build for tests
      // takes its answer from this file instead. Everything before and after the dialog is real.
      SWARDBOOK_PICKS: picks,
      // Without these the window is not open to a driver, and a session would wait for ever.
      TAURI_AUTOMATION: "true",
      TAURI_WEBVIEW_AUTOMATION: "true",
    },
  });
  const base = `http://127.0.0.1:${port}`;
  await until(async () => (await ask(base, "GET", "/status")).ready, "the driver listens");
  const begun = Date.now();
  const started = await ask(base, "POST", "/session", {
    capabilities: {
      alwaysMatch: {
        "webkitgtk:browserOptions": { binary: DESKTOP, args: notebook ? ["--notebook", notebook] : [] },
      },
    },
  });
  return new Window(base, started.sessionId, driver, { picks, begun });
}

class Window {
  #path;
  #base;
  #driver;
  #picks;

  /** When its process was asked for, in ms since 1970. */
  begun;

  constructor(base, session, driver, { picks, begun }) {
    this.#picks = picks;
    this.begun = begun;
    this.#base = base;
    this.#path = `/session/${session}`;
    this.#driver = driver;
  }

  /** The driver's process, of which the window is a child. */
  get pid() {
    return this.#driver.pid;
  }

  #ask(method, path, body) {
    return ask(this.#base, method, this.#path + path, body);
  }

  /** Runs a function's body in the page. */
  script(body, ...args) {
    return this.#ask("POST", "/execute/sync", { script: body, args });
  }

  /** Asks the core, as the screens do. */
  async call(name, request) {
    const said = await this.#ask("POST", "/execute/async", {
      script: `const done = arguments[arguments.length - 1];
        window.__TAURI_INTERNALS__.invoke("call", { name: arguments[0], request: arguments[1] })
          .then((answer) => done({ answer }), (problem) => done({ problem }));`,
      args: [name, request],
    });
    if (said.problem) throw new Error(`${name}: ${said.problem.code}: ${said.problem.message}`);
    return said.answer;
  }

  /** Goes to an address of the app. */
  async go(...steps) {
    const hash = `#/${steps.map(encodeURIComponent).join("/")}`;
    await this.script("location.hash = arguments[0]", hash);
  }

  /** The one element that fits, once it is there. */
  async find(css) {
    const found = await until(
      async () => (await this.#ask("POST", "/elements", { using: "css selector", value: css }))[0],
      `"${css}" is on the page`,
    );
    return found[ELEMENT];
  }

  async count(css) {
    return (await this.#ask("POST", "/elements", { using: "css selector", value: css })).length;
  }

  async click(css) {
    await this.#ask("POST", `/element/${await this.find(css)}/click`, {});
  }

  /** Presses the button or link that says these words. */
  async press(words) {
    // A page that is still being drawn moves under the pointer.
    await this.settled();
    const found = await until(
      () =>
        this.script(
          `const says = (one) => (one.textContent.trim() || one.getAttribute("aria-label") || "").replace(/\\s+/g, " ");
           const all = [...document.querySelectorAll("button, a, summary, label")].filter((one) => one.checkVisibility() && !one.disabled);
           return all.find((one) => says(one) === arguments[0]) ?? all.find((one) => says(one).includes(arguments[0])) ?? null;`,
          words,
        ),
      `something says "${words}"`,
    );
    // As a person does who sees it half hidden by the bar.
    await this.script(`arguments[0].scrollIntoView({ block: "center" })`, found);
    await this.#ask("POST", `/element/${found[ELEMENT]}/click`, {});
  }

  /** The input with this label. */
  async labelled(label) {
    const found = await until(
      () =>
        this.script(
          `const named = [...document.querySelectorAll("[aria-label]")].find((one) => one.getAttribute("aria-label") === arguments[0] && "value" in one);
           const label = [...document.querySelectorAll("label, legend")].find((one) => one.textContent.trim().startsWith(arguments[0]));
           return named ?? (label ? (label.control ?? label.parentElement.querySelector("input, select, textarea")) : null);`,
          label,
        ),
      `an input is labelled "${label}"`,
    );
    return found[ELEMENT];
  }

  /** Says which file the person takes in the file dialog that a press on a button opens. */
  picksNext(path) {
    writeFileSync(this.#picks, path);
  }

  /** What stands in the input with this label, or the first that fits a selector. */
  async valueOf(label) {
    const element = /[[#.]/.test(label) ? await this.find(label) : await this.labelled(label);
    return this.script("return arguments[0].value", { [ELEMENT]: element });
  }

  /** Types into the input with this label, in place of what stood there. */
  async fill(label, words) {
    const element = await this.labelled(label);
    await this.#ask("POST", `/element/${element}/clear`, {});
    await this.#ask("POST", `/element/${element}/value`, { text: words });
  }

  /** Types into the input of that name in the row counted from 0. */
  async fillMember(name, row, words) {
    const all = await until(async () => {
      const found = await this.#ask("POST", "/elements", { using: "css selector", value: `input[name="${name}"]` });
      return found.length > row && found;
    }, `there is a row ${row} with ${name}`);
    const path = `/element/${all[row][ELEMENT]}`;
    // A person scrolls to it first; the driver does so for a click only.
    await this.script(`arguments[0].scrollIntoView({ block: "center" });`, all[row]);
    await this.#ask("POST", `${path}/clear`, {});
    if (words) await this.#ask("POST", `${path}/value`, { text: words });
  }

  /** Chooses in the list with this label. */
  async choose(label, value) {
    const element = await this.labelled(label);
    await this.script(
      `arguments[0].value = arguments[1]; arguments[0].dispatchEvent(new Event("change", { bubbles: true }));`,
      { [ELEMENT]: element },
      value,
    );
  }

  /** What the page says, or a part of it, as it is seen. */
  async text(css = "main") {
    const found = await until(
      () => this.script("const one = document.querySelector(arguments[0]); return one && [one.innerText]", css),
      `"${css}" is on the page`,
    );
    return found[0].replace(/\u00a0/g, " ");
  }

  /** Waits until the page says something. */
  async says(words, css = "main") {
    let last = "";
    await until(async () => (last = await this.text(css)).includes(words), () => `"${css}" says "${words}"; it says:\n${last}`);
  }

  /** Waits until nothing is on its way any more and all is drawn. */
  async settled() {
    await until(
      () => this.script(`return !document.querySelector("main .blades") && document.fonts.status === "loaded"`),
      "nothing is on its way",
    );
    await this.script("window.drawn = false; requestAnimationFrame(() => requestAnimationFrame(() => (window.drawn = true)))");
    await until(() => this.script("return window.drawn"), "the window is drawn");
  }

  async key(key) {
    await this.actions([{ type: "key", id: "keys", actions: [{ type: "keyDown", value: key }, { type: "keyUp", value: key }] }]);
  }

  /** Keys and pointer as WebDriver has them. */
  async actions(actions) {
    await this.#ask("POST", "/actions", { actions });
  }

  async size(width, height) {
    await this.#ask("POST", "/window/rect", { width, height });
    // The page turns to the layout of the width a moment after it has the width.
    const page = `
      const frame = document.querySelector(".window");
      const turned = !frame || frame.classList.contains("field") === !matchMedia("(min-width: 700px)").matches;
      return [innerWidth, innerHeight, turned].join();`;
    const stands = async () => (await this.script(page)) === [width, height, true].join();
    await until(stands, `the window is ${width} wide and ${height} high`);
  }

  async theme(look) {
    await this.script(
      `if (arguments[0] === "auto") delete document.documentElement.dataset.theme;
       else document.documentElement.dataset.theme = arguments[0];`,
      look,
    );
  }

  async picture(path) {
    // What was asked for last is drawn before the picture is taken, and no letter is a stand-in.
    await this.settled();
    writeFileSync(path, Buffer.from(await this.#ask("GET", "/screenshot"), "base64"));
  }

  /** What axe finds against WCAG 2.2 AA, a line each. */
  async axe() {
    if (!(await this.script("return 'axe' in window"))) await this.script(AXE);
    const found = await this.#ask("POST", "/execute/async", {
      script: `const done = arguments[arguments.length - 1];
        axe.run(document, { runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"] })
          .then((said) => done(said.violations), (broken) => done([{ id: String(broken), nodes: [] }]));`,
      args: [],
    });
    return found.flatMap((one) =>
      one.nodes.length === 0
        ? [one.id]
        : one.nodes.map((node) => `${one.id}: ${node.target.join(" ")}: ${node.failureSummary?.replace(/\s+/g, " ")}`),
    );
  }

  /** Waits until nothing sticks out to the right of the window; the layout may still be settling. */
  async fits(what) {
    const sticking = `
      const wide = document.documentElement.scrollWidth - innerWidth;
      const main = document.querySelector("main");
      // The page scrolls within its frame; a window that scrolls as well loses its foot.
      const tall = document.documentElement.scrollHeight - innerHeight;
      return Math.max(wide, tall, main ? main.scrollWidth - main.clientWidth : 0);`;
    await until(async () => (await this.script(sticking)) <= 0, `nothing sticks out, ${what}`);
  }

  /** Closes the notebook in good order, as when a person leaves, and the driver with it. */
  async leave() {
    const own = spawnSync("pgrep", ["-P", String(this.#driver.pid)]).stdout.toString().split("\n").filter(Boolean);
    for (const pid of own) process.kill(Number(pid), "SIGTERM");
    await this.close();
  }

  /** Ends the window at once, as a loss of power does, and the driver with it. */
  async close() {
    await this.#ask("DELETE", "").catch(() => {});
    // The notebook is free once the window's process is gone, not when it was told to go.
    await until(() => spawnSync("pgrep", ["-P", String(this.#driver.pid)]).status !== 0, "the window is gone");
    this.#driver.kill();
  }
}

async function ask(base, method, path, body) {
  const response = await fetch(base + path, {
    method,
    headers: { "content-type": "application/json" },
    body: body === undefined ? undefined : JSON.stringify(body),
  });
  const { value } = await response.json();
  if (!response.ok) throw new Error(`${method} ${path}: ${value?.error}: ${value?.message}`);
  return value;
}

/** Asks again until there is an answer; the last error tells why there was none. */
export async function until(question, what) {
  const end = Date.now() + PATIENCE_MS;
  let last;
  while (Date.now() < end) {
    try {
      const answer = await question();
      if (answer) return answer;
    } catch (error) {
      last = error;
    }
    await pause(50);
  }
  const said = typeof what === "function" ? what() : what;
  throw new Error(`waited ${PATIENCE_MS / 1000} s in vain until ${said}${last ? ` (${last.message})` : ""}`);
}

function freePort() {
  return new Promise((resolve, reject) => {
    const server = createServer();
    server.on("error", reject);
    server.listen(0, "127.0.0.1", () => {
      const { port } = server.address();
      server.close(() => resolve(port));
    });
  });
}

/** The newest record of each kind on the zone that has most of them. */
export async function newest(window) {
  const zones = await window.call("zone.list", {});
  const [zone] = zones.sort((one, two) => two.panels + two.applications - one.panels - one.applications);
  const { season } = await window.call("zone.show", { zone: zone.id });
  const of = (kind) => season.find((event) => event.kind === kind)?.id;
  const photos = await window.call("photo.list", { zone: zone.id });
  const [photo, photoBefore] = [photos[0]?.id, photos.at(-1)?.id];
  const records = { sample: of("sample"), panel: of("panel"), plan: of("plan"), photo, photoBefore };
  return { property: zone.property, zone: zone.id, ...records };
}
