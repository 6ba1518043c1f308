// One open link: what the program says of its text, what is being tried, and what went wrong.
import { announcer, turnOf } from "./announce";
import { ask, Ended, Refused, refusalFrom } from "./ask";
import type { CaseView, Edit, Judgement, LinkView, Outside, PartDetail, Path, Pulse, Refusal, Take, Unjudged } from "./contract";
import { withLast } from "./last_read";
import { Lane } from "./link_lane";
import { samePath } from "./path";
import { heart } from "./pulse";
import { Store } from "./store";

export interface ShownCase {
  promise: number;
  end: "lowest" | "highest";
  title: string;
  view: CaseView;
}

export class LinkStore extends Store {
  view: LinkView | null = null; // of the text as it is kept
  trial: LinkView | null = null; // of what is being typed
  private tried: Edit[] = []; // what that is
  judgement: Judgement | null = null; // the last there was: shown while a text has problems
  unjudged: Unjudged | null = null; // likewise; one of the two at most
  state = "";
  refusal: Refusal | null = null;
  refusedAt: Path | null = null;
  gone = false; // the program does not know this link
  elsewhere = false; // the last change came from another window
  selected = "";
  detail: PartDetail | null = null;
  shownCase: ShownCase | null = null;
  draft: string | null = null; // of the whole file, while it is typed
  restored = false; // the draft is one from before the page was loaded anew
  kept = 0; // raised when an edit was taken: what was typed is in the text now
  private unanswered: Edit[][] = []; // neither taken nor refused so far
  private loading = false;
  private detailFor = "";
  private readonly lane = new Lane(
    (edits, signal) => this.runTrial(edits, signal),
    () => this.changed(),
  );

  constructor(readonly id: string) {
    super();
    heart.listen(() => this.onPulse(heart.pulse));
    try {
      this.draft = sessionStorage.getItem(this.draftKey);
      this.restored = this.draft !== null;
    } catch {
      // Nothing to go on with.
    }
  }

  // What is typed of the whole file outlives a reload.
  setDraft(text: string | null): void {
    this.draft = text;
    this.restored = false;
    try {
      if (text === null) sessionStorage.removeItem(this.draftKey);
      else sessionStorage.setItem(this.draftKey, text);
    } catch {
      // Storage is full or forbidden: the page still holds it.
    }
    this.changed();
  }

  // An edit is with the program, or on its way: the disk has not said yet that it holds it.
  get saving(): boolean {
    return this.lane.waiting > 0;
  }

  // Something typed is not with the program yet: closing the page would lose it.
  get owing(): boolean {
    return this.lane.waiting > 0 || (this.draft !== null && this.draft !== this.view?.text);
  }

  get shown(): LinkView | null {
    return this.trial ?? this.view;
  }

  get path(): string {
    return `/api/links/${encodeURIComponent(this.id)}`;
  }

  async load(): Promise<void> {
    if (this.loading) return;
    this.loading = true;
    const before = this.view;
    try {
      const view = await ask<LinkView>(this.path + this.query);
      if (this.view === before) this.take(view); // else an edit came first, and knows better
      if (!before) this.showWhatBreaks(view);
    } catch (error) {
      this.gone = error instanceof Refused && error.status === 404;
      if (!(error instanceof Ended)) this.refuse(error);
    }
    this.loading = false;
    this.changed();
  }

  tryOut(edits: Edit[]): void {
    this.lane.offer(edits);
  }

  dropTrial(): void {
    this.lane.dropTrial();
    this.trial = null;
    if (this.refusedAt) this.refusal = this.refusedAt = null; // it was about what was typed
    this.changed();
  }

  // What was typed for a value in the trial that is shown; else null.
  triedAt(at: Path): string | null {
    const edit = this.trial && this.tried.find((other) => "at" in other && samePath(other.at, at));
    return edit && "at" in edit ? (edit.text ?? "") : null;
  }

  // What was sent for a value and waits for the program, which may have ended; else null.
  unansweredAt(at: Path): string | null {
    const key = JSON.stringify(at);
    const edit = this.unanswered.flat().findLast((other) => "at" in other && JSON.stringify(other.at) === key);
    return edit && "at" in edit ? (edit.text ?? "") : null;
  }

  commit(edits: Edit[]): void {
    this.unanswered.push(edits);
    this.act((signal) => this.sendEdit(edits, signal, true), edits);
  }

  commitWhole(text: string): void {
    this.act(async (signal) => {
      const view = await this.sendEdit([{ whole: text }], signal, true);
      if (this.draft === text) this.setDraft(null);
      return view;
    });
  }

  undo(): void {
    this.post("undo", {});
  }

  redo(): void {
    this.post("redo", {});
  }

  save(): void {
    this.post("save", {});
  }

  settle(outside: Outside): void {
    this.post("outside", outside);
  }

  takeAnswer(answer: Take): void {
    this.post("take", answer);
  }

  choose(state: string): void {
    this.state = state;
    this.shownCase = null;
    this.act((signal) => ask<LinkView>(this.path + this.query, { signal }));
    this.changed();
  }

  // A link that breaks opens in the state in which it does.
  private showWhatBreaks({ judgement }: LinkView): void {
    const broken = judgement?.promises.find((promise) => promise.verdict === "broken")?.state ?? "";
    if (broken !== judgement?.state && judgement?.states.includes(broken)) this.choose(broken);
  }

  select(part: string): void {
    this.selected = this.selected === part ? "" : part;
    this.detail = null;
    this.detailFor = "";
    this.changed();
    void this.loadDetail();
  }

  // Pressed in the drawing: the link changes to the state that this leads to.
  switchTo(part: string, state: string): void {
    if (this.selected !== part) this.select(part);
    this.choose(state);
  }

  dropRefusal(): void {
    this.refusal = this.refusedAt = null;
    this.changed();
  }

  async showCase(promise: number, end: "lowest" | "highest", title: string, of: string): Promise<void> {
    const state = this.judgement?.states.includes(of) ? of : this.state; // of a change there is none
    if (state !== this.state) this.choose(state);
    try {
      const query = new URLSearchParams({ promise: String(promise), end, state });
      const view = await ask<CaseView>(`${this.path}/case?${query}`);
      this.shownCase = { promise, end, title, view };
    } catch (error) {
      this.refuse(error);
    }
    this.changed();
  }

  backToNominal(): void {
    this.shownCase = null;
    this.changed();
  }

  async loadDetail(): Promise<void> {
    const key = `${this.selected}/${this.view?.revision}`;
    if (!this.selected || !this.view?.judgement || key === this.detailFor) return;
    this.detailFor = key;
    try {
      const query = new URLSearchParams({ name: this.selected });
      const detail = await ask<PartDetail>(`${this.path}/part?${query}`);
      if (key !== this.detailFor) return;
      this.detail = detail;
    } catch (error) {
      if (key !== this.detailFor) return;
      this.detail = null;
      if (error instanceof Ended) this.detailFor = "";
    }
    this.changed();
  }

  private get draftKey(): string {
    return `gapwright draft ${this.id}`;
  }

  private get query(): string {
    return `?${new URLSearchParams({ state: this.state })}`;
  }

  private post(verb: string, body: unknown): void {
    this.act((signal) => ask<LinkView>(`${this.path}/${verb}${this.query}`, { body, signal }));
  }

  private async runTrial(edits: Edit[], signal: AbortSignal): Promise<void> {
    if (!this.view) return;
    const body = { edits, revision: this.view.revision, state: this.state, samples: 0 };
    try {
      const trial = await ask<LinkView>(`${this.path}/try`, { body, signal });
      if (signal.aborted) return;
      this.trial = withLast(trial, this.view, edits);
      this.tried = edits;
      if (samePath(this.refusedAt, atOf(edits))) this.refusal = this.refusedAt = null;
      this.judge(this.trial);
    } catch (error) {
      if (signal.aborted || error instanceof Ended) return;
      if (error instanceof Refused && error.status === 409) return;
      this.refuse(error, atOf(edits));
    }
    this.changed();
  }

  private async sendEdit(edits: Edit[], signal: AbortSignal, again: boolean): Promise<LinkView> {
    const body = { edits, revision: this.view?.revision ?? 0, state: this.state, samples: 0 };
    try {
      return await ask<LinkView>(`${this.path}/edit`, { body, signal });
    } catch (error) {
      const moved = error instanceof Refused && error.status === 409;
      if (!moved || !again || edits.some((edit) => "whole" in edit)) throw error;
      this.take(await ask<LinkView>(this.path + this.query));
      return this.sendEdit(edits, signal, false);
    }
  }

  seen(): void {
    this.elsewhere = false;
    this.changed();
  }

  private act(task: (signal: AbortSignal) => Promise<LinkView>, edits: Edit[] = []): void {
    this.lane.act(async (signal) => {
      try {
        const view = await task(signal);
        this.refusal = this.refusedAt = null;
        this.trial = null;
        this.kept++;
        this.elsewhere = false;
        this.take(view, edits);
      } catch (error) {
        if (error instanceof Ended) throw error; // kept until the program is back
        this.trial = null;
        if (this.view) this.judge(this.view);
        this.refuse(error, atOf(edits));
      }
      this.unanswered = this.unanswered.filter((other) => other !== edits);
      this.changed();
    });
  }

  private take(given: LinkView, edits: Edit[] = []): void {
    const view = withLast(given, this.view, edits);
    if (this.view && view.revision !== this.view.revision) this.shownCase = null;
    this.view = view;
    this.gone = false;
    this.judge(view);
    if (!view.parts.some((part) => part.name === this.selected)) this.selected = "";
    void this.loadDetail();
  }

  private judge(view: LinkView): void {
    announcer.say(turnOf(this.judgement, view.judgement));
    if (this.judgement && view.unjudged) announcer.say(view.unjudged.words);
    const seen = view.judgement ?? view.unjudged;
    if (!seen && view.has_circuit) return; // a text with problems: the last stays
    this.judgement = view.judgement;
    this.unjudged = view.unjudged;
    if (seen) this.state = seen.state;
  }

  private refuse(error: unknown, at: Path | null = null): void {
    this.refusal = refusalFrom(error);
    this.refusedAt = at;
  }

  // What another window made of the link is shown here too, and said.
  private async follow(changed: boolean): Promise<void> {
    const before = this.view?.revision;
    await this.load();
    if (!changed || this.view?.revision === before || this.lane.waiting > 0) return;
    this.elsewhere = true;
    announcer.say("This link was changed in another window; this one follows.");
    this.changed();
  }

  private onPulse(pulse: Pulse | null): void {
    if (heart.state !== "up") return;
    if (this.lane.waiting) return this.lane.release();
    const told = pulse?.links.find((link) => link.id === this.id);
    if (!this.view) void this.load();
    else if (told && (told.revision !== this.view.revision || told.outside !== !!this.view.outside)) {
      void this.follow(told.revision !== this.view.revision);
    } else void this.loadDetail();
  }
}

function atOf(edits: Edit[]): Path | null {
  const first = edits[0];
  return first && "at" in first ? first.at : null;
}

const links = new Map<string, LinkStore>();

addEventListener("beforeunload", (event) => {
  if ([...links.values()].some((link) => link.owing)) event.preventDefault();
});

export function linkOf(id: string): LinkStore {
  let link = links.get(id);
  if (!link) links.set(id, (link = new LinkStore(id)));
  return link;
}
