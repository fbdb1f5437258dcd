import type { Component } from "svelte";

import Bench from "./screens/bench/Bench.svelte";
import Settings from "./screens/settings/Settings.svelte";
import { text } from "./text";

/** What a screen is handed: the steps of the address after its own name. */
export interface PlaceProps {
  steps: readonly string[];
}

/** One place of the window. A new screen is one more row here. */
export interface PlaceRow {
  /** First step of its address. */
  name: string;
  /** Its name in the lists. */
  label: string;
  screen: Component<PlaceProps>;
  /** Where it is listed: at the side in the office and under "More" in the field, and whether it has a button in the field's bar. */
  bar: boolean;
}

/** Every place, in the order it is listed; the first is where the window opens. */
export const PLACES: readonly PlaceRow[] = [
  { name: "bench", label: text.places.bench, screen: Bench, bar: true },
  { name: "settings", label: text.places.settings, screen: Settings, bar: true },
];
