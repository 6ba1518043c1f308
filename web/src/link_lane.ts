// What the page asks about one link goes through one lane: edits one after the other, and of live
// trials only the newest waits. An edit does not wait for a trial, and a trial that takes long
// gives way to a newer one; the program ends it.
import type { Edit } from "./contract";

type Task = (signal: AbortSignal) => Promise<void>;

const longTrial = 1000; // milliseconds

export class Lane {
  private readonly acts: Task[] = [];
  private trial: Edit[] | null = null;
  private current: { trial: boolean; since: number; stop: AbortController } | null = null;
  private held = false;

  // `moved` is told whenever an act is taken on or done.
  constructor(
    private readonly tryOut: (edits: Edit[], signal: AbortSignal) => Promise<void>,
    private readonly moved: () => void,
  ) {}

  // Resolves when it is done. A task that throws stays at the head, and the lane is held.
  act(task: Task): void {
    this.acts.push(task);
    this.dropTrial();
    void this.pump();
    this.moved();
  }

  offer(edits: Edit[]): void {
    this.trial = edits;
    const current = this.current;
    if (current?.trial && performance.now() - current.since > longTrial) current.stop.abort();
    void this.pump();
  }

  dropTrial(): void {
    this.trial = null;
    if (this.current?.trial) this.current.stop.abort();
  }

  get waiting(): number {
    return this.acts.length;
  }

  release(): void {
    this.held = false;
    void this.pump();
  }

  private async pump(): Promise<void> {
    if (this.current || this.held) return;
    const act = this.acts[0];
    const edits = this.trial;
    if (!act && !edits) return;
    const stop = new AbortController();
    this.current = { trial: !act, since: performance.now(), stop };
    try {
      if (act) {
        await act(stop.signal);
        this.acts.shift();
      } else if (edits) {
        this.trial = null;
        await this.tryOut(edits, stop.signal);
      }
    } catch {
      if (act) this.held = true;
    }
    this.current = null;
    if (act) this.moved();
    void this.pump();
  }
}
