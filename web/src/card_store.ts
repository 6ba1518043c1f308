// One card: what stands in its file, and what is typed of it, as fields or as a text. Both are one
// state, a text and edits on top of it, so that they cannot disagree. Nothing is saved before it is
// asked for; until then the program judges what is typed.
import { ask, Ended, refusalFrom } from "./ask";
import type { CardView, Edit, Field, FieldGroup, Path, Problem, Refusal } from "./contract";
import { canBe, fieldsGiven, groupsWithLast } from "./card_views";
import { folder } from "./folder_store";
import { keyOf, samePath } from "./path";
import { Store } from "./store";

const rest = 300; // milliseconds without a key before what is typed is judged

interface Typed {
  at: Path;
  text: string;
  taken: boolean; // the text of the trial has it
}

export class CardStore extends Store {
  file: CardView | null = null; // as it stands in the folder
  typed: Typed[] = []; // for single values
  trial: CardView | null = null; // of what is typed
  refusal: Refusal | null = null; // of a trial or of saving
  lost: Refusal | null = null; // why the file cannot be read
  said = ""; // what saving came to, until something is typed again
  private from = ""; // the file's text that all changes are about
  private whole: string | null = null; // typed in place of that text; `typed` is on top of it
  private given = new Set<string>(); // the values that the card had before fields were typed in
  private lastGood: CardView | null = null;
  private judgedOf = ""; // the text that the trial's edits were about
  private timer = 0;
  private asking: AbortController | null = null;
  private judging: Promise<void> = Promise.resolve();

  constructor(readonly id: string) {
    super();
  }

  // The whole text, as it would be saved.
  get text(): string {
    return this.trial && this.judgedOf === this.base ? this.trial.text : this.base;
  }

  get shown(): CardView | null {
    return this.trial ?? this.file;
  }

  // Something is typed that the file does not hold.
  get touched(): boolean {
    return this.text !== this.from || this.isOwing;
  }

  // Another program has changed the file since typing began.
  get outside(): boolean {
    return this.file !== null && this.file.text !== this.from;
  }

  // Of a text with problems, and of a card that cannot be, there are no curves: the last ones stay.
  get drawn(): CardView | null {
    return this.shown && !canBe(this.shown) ? this.lastGood : this.shown;
  }

  // Likewise what is assumed, of a text with problems.
  get groups(): FieldGroup[] {
    return this.shown ? groupsWithLast(this.shown, this.lastGood) : [];
  }

  // Whether the card said it when it was read; what is typed since moves no field.
  isGiven(field: Field): boolean {
    return this.given.has(keyOf(field.at));
  }

  get basedOn(): string {
    const about = this.shown?.groups[0]?.fields ?? [];
    return about.find((field) => field.key === "based_on")?.text ?? "another card";
  }

  typedAt(at: Path): Typed | null {
    return this.typed.find((one) => samePath(one.at, at)) ?? null;
  }

  problemsAt(at: Path): Problem[] {
    return this.shown?.problems.filter((problem) => problem.at && samePath(problem.at, at)) ?? [];
  }

  // Those that stand at no field.
  get problems(): Problem[] {
    const fields = this.groups.flatMap((group) => group.fields);
    return this.shown?.problems.filter(({ at }) => !at || !fields.some((field) => samePath(field.at, at))) ?? [];
  }

  // Puts what the card says by now where it belongs: when its screen is gone to, not under a hand.
  arrange(): void {
    if (this.shown) this.given = fieldsGiven(this.shown);
    this.changed();
  }

  async read(): Promise<void> {
    try {
      const view = await ask<CardView>(this.path);
      this.lost = null;
      const held = view.text === this.text && !this.isOwing; // saved by another window
      if (this.file && this.touched && !held) this.file = view;
      else this.startWith(view, this.file !== null && view.text === this.from && this.whole === null);
      if (this.isOwing) this.later(); // the program may have ended meanwhile
    } catch (error) {
      if (!(error instanceof Ended)) this.lost = refusalFrom(error);
    }
    this.changed();
  }

  type(at: Path, text: string): void {
    const old = this.typedAt(at);
    if (old) Object.assign(old, { text, taken: false });
    else this.typed.push({ at, text, taken: false });
    this.later();
  }

  // What was typed for a value is given up.
  giveBack(at: Path): void {
    if (!this.typedAt(at)) return;
    this.typed = this.typed.filter((one) => !samePath(one.at, at));
    this.later();
    void this.settle();
  }

  // Values that the text holds already are part of what was typed into it; others stay on top.
  typeWhole(text: string): void {
    this.asking?.abort(); // of the text before
    this.whole = text;
    this.typed = this.typed.filter((one) => !one.taken);
    this.later();
  }

  startAnew(): void {
    if (this.file) this.startWith(this.file);
    this.changed();
  }

  // Judges at once what is typed and not judged yet.
  settle(): Promise<void> {
    if (this.timer) this.judging = this.judge();
    return this.judging;
  }

  // Over what stands in the file.
  async save(): Promise<void> {
    if (!(await this.isWhole())) return;
    const { text, whole } = this;
    try {
      const view = await ask<CardView>(`${this.path}/save`, { body: { text, replaces: this.from } });
      // (the fields stay where they are, and with them who types there)
      const since = this.typed.filter((one) => !one.taken);
      const anew = this.whole === whole ? null : this.whole;
      this.startWith(view, whole === null);
      this.typed = since;
      this.whole = anew;
      if (since.length > 0 || anew !== null) this.later();
      this.refusal = null;
      this.said = `Saved as ${view.name}.`;
    } catch (error) {
      if (!(error instanceof Ended)) this.refusal = refusalFrom(error);
    }
    this.changed();
  }

  // As a new card of the folder; its id, or null where that was refused.
  async saveAs(name: string): Promise<string | null> {
    if (!(await this.isWhole()) || !(await folder.saveCard({ name, text: this.text }))) return null;
    this.startAnew();
    return folder.view?.cards.find((card) => card.file && card.name === name)?.id ?? null;
  }

  drop(): void {
    this.refusal = null;
    this.changed();
  }

  private get path(): string {
    return `/api/cards/${encodeURIComponent(this.id)}`;
  }

  // Something typed is not in the text of the trial, or was never tried.
  private get isOwing(): boolean {
    return this.typed.some((one) => !one.taken) || (this.whole !== null && this.judgedOf !== this.whole);
  }

  private get base(): string {
    return this.whole ?? this.from;
  }

  // Whether all that is typed is in the text.
  private async isWhole(): Promise<boolean> {
    do await this.settle();
    while (this.timer); // typed on meanwhile
    const out = this.typed.filter((one) => !one.taken);
    if (out.length === 0) return true;
    const names = out.map((one) => String(one.at.at(-1)).replaceAll("_", " ")).join(", ");
    this.said = `Not saved: what is typed for ${names} cannot be written yet.`;
    this.changed();
    return false;
  }

  private later(): void {
    clearTimeout(this.timer);
    this.timer = setTimeout(() => void this.settle(), rest);
    this.said = "";
    this.changed();
  }

  private async judge(): Promise<void> {
    clearTimeout(this.timer);
    this.timer = 0;
    this.asking?.abort();
    const asking = (this.asking = new AbortController());
    const text = this.base;
    const sent = this.typed.map((one) => ({ ...one }));
    const edits: Edit[] = sent.map((one) => ({ at: one.at, text: one.text.trim() === "" ? null : one.text }));
    try {
      const view = await ask<CardView>(`${this.path}/try`, { body: { text, edits }, signal: asking.signal });
      if (asking.signal.aborted) return;
      this.trial = view;
      this.judgedOf = text;
      this.refusal = null;
      for (const one of this.typed) {
        const answered = sent.some((other) => samePath(other.at, one.at) && other.text === one.text);
        one.taken = answered && !view.refused.some((at) => samePath(at, one.at));
      }
      this.learn(view, edits.length === 0);
    } catch (error) {
      if (asking.signal.aborted || error instanceof Ended) return;
      this.refusal = refusalFrom(error);
    }
    this.changed();
  }

  private startWith(view: CardView, fieldsStay = false): void {
    clearTimeout(this.timer);
    this.timer = 0;
    this.asking?.abort();
    this.whole = null;
    this.typed = [];
    this.trial = null;
    this.file = view;
    this.from = view.text;
    this.learn(view, !fieldsStay);
  }

  private learn(view: CardView, fieldsMove: boolean): void {
    if (canBe(view)) this.lastGood = view;
    if (fieldsMove) this.given = fieldsGiven(view);
  }
}

const cards = new Map<string, CardStore>();

addEventListener("beforeunload", (event) => {
  if ([...cards.values()].some((card) => card.touched)) event.preventDefault();
});

export function cardOf(id: string): CardStore {
  let card = cards.get(id);
  if (!card) cards.set(id, (card = new CardStore(id)));
  return card;
}
