// Every place of the window with what to show there: the gallery and the checks walk this list.

/** @type {{ name: string, steps: string[], ready: string, prepare?: (window: any) => Promise<void> }[]} */
export const PLACES = [
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
  { name: "settings", steps: ["settings"], ready: "Settings" },
];

/** Office and field, in pixels. */
export const SIZES = [
  { name: "office", width: 1440, height: 960 },
  { name: "field", width: 390, height: 844 },
];

export const LOOKS = ["light", "dark", "sun"];
