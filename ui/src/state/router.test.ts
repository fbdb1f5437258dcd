import { expect, it } from "vitest";

import { href, readAddress } from "./router.svelte";

it("an address is read as it was written, whatever its steps hold", () => {
  const steps = ["zone", "a/b c?d", "ü"];
  expect(readAddress(href(...steps)).steps).toEqual(steps);
});

it("an address may carry what is given and may be broken", () => {
  expect(readAddress("#/panel?sample=x&y=1")).toEqual({ steps: ["panel"], given: { sample: "x", y: "1" } });
  expect(readAddress("#/%zz").steps).toEqual(["%zz"]);
  expect(readAddress("").steps).toEqual([]);
});
