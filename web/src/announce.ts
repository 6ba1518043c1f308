// One polite live region for the whole page; a screen says one short sentence at a time.
import type { Judgement, PromiseView } from "./contract";
import { Store } from "./store";

class Announcer extends Store {
  text = "";

  say(text: string): void {
    if (!text || text === this.text) return;
    this.text = text;
    this.changed();
  }
}

export const announcer = new Announcer();

// What changed between two judgements, in a sentence; empty for nothing that matters.
export function turnOf(before: Judgement | null, after: Judgement | null): string {
  if (!before || !after) return "";
  const old = new Map(before.promises.map((promise) => [keyOf(promise), promise.verdict]));
  const turned = after.promises.filter((promise) => {
    const was = old.get(keyOf(promise));
    return was !== undefined && was !== promise.verdict;
  });
  const first = turned.find((promise) => promise.verdict === "broken") ?? turned[0];
  if (first) return sentence(first);
  return before.verdict === after.verdict ? "" : `The link is now ${after.verdict}`;
}

export function keyOf(promise: PromiseView): string {
  // A rating that is kept has one row, whichever its tightest state; any other a row a state.
  const held = promise.verdict === "kept" || promise.verdict === "thin";
  return `${promise.number}/${promise.quantity}/${promise.number < 0 && held ? "" : promise.state}`;
}

function sentence(promise: PromiseView): string {
  const bounds = promise.bounds.replace(/≥\s*/g, "at least ").replace(/≤\s*/g, "at most ");
  return `${promise.verdict}: ${promise.quantity}, ${promise.state}: ${promise.worst} against ${bounds}`;
}
