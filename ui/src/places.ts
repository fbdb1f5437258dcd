import type { Component } from "svelte";

import Add from "./screens/add/Add.svelte";
import Bench from "./screens/bench/Bench.svelte";
import Compare from "./screens/compare/Compare.svelte";
import Decide from "./screens/decide/Decide.svelte";
import Devices from "./screens/devices/Devices.svelte";
import Draw from "./screens/draw/Draw.svelte";
import Guidelines from "./screens/guidelines/Guidelines.svelte";
import Materials from "./screens/materials/Materials.svelte";
import Panel from "./screens/panel/Panel.svelte";
import PanelImport from "./screens/panel/PanelImport.svelte";
import PanelType from "./screens/panel/PanelType.svelte";
import Pair from "./screens/photos/Pair.svelte";
import Photo from "./screens/photos/Photo.svelte";
import PhotoImport from "./screens/photos/PhotoImport.svelte";
import Photos from "./screens/photos/Photos.svelte";
import Plan from "./screens/plan/Plan.svelte";
import PlanDraft from "./screens/plan/PlanDraft.svelte";
import Property from "./screens/property/Property.svelte";
import Reading from "./screens/reading/Reading.svelte";
import Record from "./screens/record/Record.svelte";
import Sample from "./screens/sample/Sample.svelte";
import SamplePlan from "./screens/sample/SamplePlan.svelte";
import Settings from "./screens/settings/Settings.svelte";
import Today from "./screens/today/Today.svelte";
import Zone from "./screens/zone/Zone.svelte";
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
  /**
   * Where it is listed: in the field's bar and at the office's side (`bar`), at the side and under
   * "More" (`list`), or nowhere since one comes there by a record (`none`).
   */
  shown: "bar" | "list" | "none";
}

/** Every place, in the order it is listed; the first is where the window opens. */
export const PLACES: readonly PlaceRow[] = [
  { name: "today", label: text.places.today, screen: Today, shown: "bar" },
  { name: "property", label: text.places.properties, screen: Property, shown: "bar" },
  { name: "materials", label: text.places.materials, screen: Materials, shown: "list" },
  { name: "guidelines", label: text.places.guidelines, screen: Guidelines, shown: "list" },
  { name: "bench", label: text.places.bench, screen: Bench, shown: "bar" },
  { name: "decide", label: text.places.decide, screen: Decide, shown: "list" },
  { name: "devices", label: text.places.devices, screen: Devices, shown: "list" },
  { name: "settings", label: text.places.settings, screen: Settings, shown: "list" },
  { name: "zone", label: "", screen: Zone, shown: "none" },
  { name: "draw", label: "", screen: Draw, shown: "none" },
  { name: "sample-plan", label: "", screen: SamplePlan, shown: "none" },
  { name: "sample", label: "", screen: Sample, shown: "none" },
  { name: "panel-import", label: "", screen: PanelImport, shown: "none" },
  { name: "panel-type", label: "", screen: PanelType, shown: "none" },
  { name: "panel", label: "", screen: Panel, shown: "none" },
  { name: "reading", label: "", screen: Reading, shown: "none" },
  { name: "plan-draft", label: "", screen: PlanDraft, shown: "none" },
  { name: "compare", label: "", screen: Compare, shown: "none" },
  { name: "plan", label: "", screen: Plan, shown: "none" },
  { name: "photos", label: "", screen: Photos, shown: "none" },
  { name: "photo", label: "", screen: Photo, shown: "none" },
  { name: "photo-import", label: "", screen: PhotoImport, shown: "none" },
  { name: "photo-pair", label: "", screen: Pair, shown: "none" },
  { name: "record", label: "", screen: Record, shown: "none" },
  { name: "add", label: "", screen: Add, shown: "none" },
];

/** What stands at the office's side. */
export const LISTED = PLACES.filter((one) => one.shown !== "none");
