import { locale, useLocale, useUnits } from "../text";
import { device } from "./device.svelte";
import { ask } from "./query.svelte";

/** What the whole window needs to know of the open notebook. */
class OpenNotebook {
  /** `metric` or `us`; every screen is drawn anew when it changes. */
  measure = $state("metric");
  hemisphere = $state<"south" | "north" | "">("");
  name = $state("");

  /** Reads it again, after a start and after the settings changed; whether what is shown is written otherwise now. */
  async read(): Promise<boolean> {
    const before = `${this.measure} ${locale()}`;
    const [settings, shown] = await Promise.all([ask("settings.get", {}), ask("units.shown", {})]);
    const said = (name: string) => String(settings?.fields.find((field) => field.name === name)?.value ?? "");
    useUnits(shown.units, shown.lengths);
    this.measure = shown.measure;
    this.hemisphere = said("hemisphere") === "north" ? "north" : said("hemisphere") === "south" ? "south" : "";
    this.name = said("name");
    // This device's own choice comes first, then the notebook's, then the system's.
    useLocale(device.locale || said("language") || undefined);
    return before !== `${this.measure} ${locale()}`;
  }
}

export const notebook = new OpenNotebook();
