// Which steps of building are done, by link and plan. Kept in this browser: the address of a
// folder's page is the same each time, and so is a link's id.
import { Store } from "./store";

interface Ticked {
  plan: string; // another plan begins anew
  done: number[];
  of: number;
}

class TickStore extends Store {
  of(link: string): Ticked | null {
    try {
      const text = localStorage.getItem(keyOf(link));
      return text ? (JSON.parse(text) as Ticked) : null;
    } catch {
      return null; // forbidden, or of another make
    }
  }

  done(link: string, plan: string): Set<number> {
    const ticked = this.of(link);
    return new Set(ticked?.plan === plan ? ticked.done : []);
  }

  tick(link: string, plan: string, step: number, of: number): void {
    const done = this.done(link, plan);
    if (!done.delete(step)) done.add(step);
    try {
      localStorage.setItem(keyOf(link), JSON.stringify({ plan, done: [...done], of } satisfies Ticked));
    } catch {
      // Storage is full or forbidden: nothing is kept.
    }
    this.changed();
  }
}

function keyOf(link: string): string {
  return `gapwright steps ${link}`;
}

export const ticks = new TickStore();
