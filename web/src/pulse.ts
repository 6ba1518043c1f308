// Asks each second whether the program is there and what moved. One that has ended refuses the
// connection, which is known within two seconds. One that only says nothing may be busy or held up:
// that is told as what it is, and only after three seconds.
import { ask, onEnded, Refused } from "./ask";
import type { Pulse } from "./contract";
import { Store } from "./store";

const every = 1000;
const patience = 3000;

class Heart extends Store {
  state: "up" | "silent" | "ended" | "elsewhere" = "up"; // elsewhere: it runs, but does not know this page
  pulse: Pulse | null = null;
  private timer = 0;
  private asking = false;

  start(): void {
    onEnded(() => void this.beat());
    void this.beat();
  }

  async beat(): Promise<void> {
    if (this.asking) return;
    this.asking = true;
    clearTimeout(this.timer);
    const before = Date.now();
    const state = await this.listenOnce();
    this.asking = false;
    if (state !== this.state || state === "up") {
      this.state = state;
      this.changed();
    }
    this.timer = window.setTimeout(() => void this.beat(), Math.max(0, every - (Date.now() - before)));
  }

  private async listenOnce(): Promise<Heart["state"]> {
    const own = new AbortController();
    const timer = setTimeout(() => own.abort(), patience);
    try {
      this.pulse = await ask<Pulse>("/api/pulse", { signal: own.signal, timeout: 2 * patience });
      return "up";
    } catch (error) {
      if (own.signal.aborted) return "silent";
      return error instanceof Refused && error.status !== 0 ? "elsewhere" : "ended";
    } finally {
      clearTimeout(timer);
    }
  }
}

export const heart = new Heart();

// Resolves when the program answers again.
export function whenUp(): Promise<void> {
  return new Promise((done) => {
    const stop = heart.listen(() => {
      if (heart.state !== "up") return;
      stop();
      done();
    });
  });
}
