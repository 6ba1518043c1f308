// What is typed for a fit: it outlives the screen, and points read off a chart land here.
import { Store } from "./store";

class FitDraft extends Store {
  kind = "";
  basedOn = "";
  name = "";
  source = "";
  file = "";
  points = "";
  measuredAt = "";
  card = ""; // name of the card to save as

  set(part: Partial<Pick<FitDraft, "kind" | "basedOn" | "name" | "source" | "file" | "points" | "measuredAt" | "card">>): void {
    Object.assign(this, part);
    this.changed();
  }

  // "collector_emitter_voltage = 5 V", one a line or with commas between.
  get settings(): Record<string, string> {
    return settingsOf(this.measuredAt);
  }
}

export function settingsOf(text: string): Record<string, string> {
  const pairs = text.split(/[,;\n]/).map((pair) => pair.split("="));
  const stated = pairs.filter((pair) => pair.length === 2 && pair[0]?.trim());
  return Object.fromEntries(stated.map(([key, value]) => [key!.trim(), value!.trim()]));
}

export const fitDraft = new FitDraft();
