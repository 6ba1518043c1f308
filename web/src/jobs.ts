// Work that takes longer than a moment. A run lives on while the screen is left and come back to;
// starting one anew ends what went before.
import { ask, Ended, refusalFrom } from "./ask";
import type { JobOrder, JobView, Refusal } from "./contract";
import { whenUp } from "./pulse";
import { Store } from "./store";

export class Run<T> extends Store {
  view: JobView | null = null;
  result: T | null = null; // the last one that came, also while a newer one runs
  resultOf: JobView | null = null;
  refusal: Refusal | null = null;
  revision = -1; // of the link that the result is about
  tag = ""; // what the order was about, as the screen likes
  private turn = 0;

  get running(): boolean {
    return this.view?.state === "running" || this.starting;
  }
  private starting = false;
  stopping = false; // asked to, and not ended yet: what was found is put in order first

  async start(order: JobOrder, revision = -1, tag = ""): Promise<void> {
    const turn = ++this.turn;
    this.starting = true;
    this.stopping = false;
    this.refusal = null;
    this.tag = tag;
    this.changed();
    try {
      this.take(turn, await ask<JobView>("/api/jobs", { body: order }), revision);
      await this.follow(turn, revision);
    } catch (error) {
      this.fail(turn, refusalFrom(error));
    }
  }

  async stop(): Promise<void> {
    if (!this.view || this.view.state !== "running") return;
    const turn = this.turn;
    this.stopping = true;
    this.changed();
    try {
      this.take(turn, await ask<JobView>(`${pathOf(this.view)}/stop`, { body: {} }), this.revision);
    } catch {
      // It had ended by itself, or the program has: following tells which.
    }
  }

  forget(): void {
    this.turn++;
    this.view = this.result = this.resultOf = this.refusal = null;
    this.starting = false;
    this.changed();
  }

  private async follow(turn: number, revision: number): Promise<void> {
    let pause = 30;
    while (turn === this.turn && this.view?.state === "running") {
      await new Promise((done) => setTimeout(done, pause));
      pause = Math.min(250, pause * 1.4);
      if (turn !== this.turn || !this.view) return;
      try {
        this.take(turn, await ask<JobView>(pathOf(this.view)), revision);
      } catch (error) {
        if (!(error instanceof Ended)) throw error;
        await whenUp();
      }
    }
  }

  private take(turn: number, view: JobView, revision: number): void {
    if (turn !== this.turn) return;
    this.starting = false;
    this.view = view;
    this.stopping &&= view.state === "running";
    this.refusal = view.state === "failed" ? view.refusal : null;
    if (view.result) {
      this.result = view.result as T;
      this.resultOf = view;
      this.revision = revision;
    }
    this.changed();
  }

  private fail(turn: number, refusal: Refusal): void {
    if (turn !== this.turn) return;
    this.starting = false;
    this.view = null;
    this.refusal = refusal;
    this.changed();
  }
}

const runs = new Map<string, Run<unknown>>();

export function runOf<T>(key: string): Run<T> {
  let run = runs.get(key);
  if (!run) runs.set(key, (run = new Run()));
  return run as Run<T>;
}

function pathOf(view: JobView): string {
  return `/api/jobs/${encodeURIComponent(view.id)}`;
}
