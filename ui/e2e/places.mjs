// Every place of the window with what to show there: the gallery and the checks walk this list.

const id = (kind) => (ids) => ids[kind];

/** @type {{ name: string, steps: (string | ((ids: any) => string))[], ready: string, prepare?: (window: any) => Promise<void> }[]} */
export const PLACES = [
  { name: "today", steps: ["today"], ready: "clear to sample" },
  { name: "properties", steps: ["property"], ready: "zones" },
  { name: "property", steps: ["property", id("property")], ready: "New zone" },
  { name: "zone", steps: ["zone", id("zone")], ready: "Season" },
  { name: "draw", steps: ["draw", id("zone")], ready: "Keep this shape" },
  { name: "add-property", steps: ["add", "property"], ready: "Save" },
  { name: "add-rating", steps: ["add", "rating", id("zone")], ready: "Save" },
  { name: "add-application", steps: ["add", "application", id("zone")], ready: "Save" },
  { name: "sample-plan", steps: ["sample-plan", id("zone")], ready: "Pull" },
  { name: "sample", steps: ["sample", id("sample")], ready: "Label, post and panel" },
  { name: "panel-type", steps: ["panel-type", id("sample")], ready: "Another reading" },
  { name: "panel-import", steps: ["panel-import", id("zone")], ready: "Choose a file" },
  { name: "panel", steps: ["panel", id("panel")], ready: "As printed" },
  { name: "reading", steps: ["reading", id("panel")], ready: "Make a plan from it" },
  { name: "plan-draft", steps: ["plan-draft", id("panel")], ready: "Which calcium source" },
  { name: "plan", steps: ["plan", id("plan")], ready: "Particulars" },
  { name: "compare", steps: ["compare", id("zone")], ready: "Checked before comparing" },
  { name: "photos", steps: ["photos", id("zone")], ready: "Photos, newest first" },
  { name: "photo", steps: ["photo", id("photo")], ready: "Keep this measurement" },
  {
    name: "photo-marked",
    steps: ["photo", id("photo")],
    ready: "Keep this measurement",
    async prepare(window) {
      // The field comes after the office, at the same address.
      const isMarked = await window.script(`return document.querySelector(".frame button") !== null`);
      if (!isMarked) await window.press("Mark the corners by hand");
      await window.says("Go clockwise");
      await window.script(`document.querySelector(".frame button").focus()`);
      await window.says("Go clockwise");
    },
  },
  { name: "photo-import", steps: ["photo-import", id("zone")], ready: "Choose a folder" },
  { name: "photo-pair", steps: ["photo-pair", id("photoBefore"), id("photo")], ready: "same scale" },
  { name: "record", steps: ["record", id("zone")], ready: "What it said before" },
  { name: "materials", steps: ["materials"], ready: "Sulfate of potash" },
  { name: "material", steps: ["materials", "sulfate-of-potash"], ready: "What it brings" },
  { name: "guidelines", steps: ["guidelines"], ready: "Mehlich" },
  { name: "bench", steps: ["bench"], ready: "calculations" },
  {
    name: "bench-cations",
    steps: ["bench", "cations"],
    ready: "calcium",
    async prepare(window) {
      for (const [name, words] of [["ca", "3,1"], ["mg", "0.9"], ["k", "0.3"], ["na", "0.1"], ["al", "0.5"]]) {
        await window.script(
          `const input = document.querySelector("input[name=" + arguments[0] + "]");
           input.value = arguments[1]; input.dispatchEvent(new Event("input", { bubbles: true }));`,
          name,
          words,
        );
      }
      await window.press("Work it out");
      await window.says("effective exchange capacity");
    },
  },
  { name: "decide", steps: ["decide"], ready: "Nothing to decide" },
  { name: "devices", steps: ["devices"], ready: "Who holds it" },
  {
    name: "devices-invite",
    steps: ["devices"],
    ready: "Who holds it",
    async prepare(window) {
      if (!(await window.text()).includes("Scan this")) await window.press("Show a code");
      await window.says("sward1-");
    },
  },
  { name: "settings", steps: ["settings"], ready: "Settings" },
];

/** Office and field, in pixels. */
export const SIZES = [
  { name: "office", width: 1440, height: 960 },
  { name: "field", width: 390, height: 844 },
];

export const LOOKS = ["light", "dark", "sun"];
