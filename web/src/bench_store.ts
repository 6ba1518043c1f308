// Readings of one link at the bench. What was typed is kept in the session as well: a reload or an
// ended program loses nothing.
import { ask, refusalFrom } from "./ask";
import type { BenchView, BoardView, LeadsView, ReadingList, Recorded, Refusal, SheetLineView, SheetView } from "./contract";
import { runOf, type Run } from "./jobs";
import { linkOf } from "./link_store";
import { Store } from "./store";

interface Kept {
  board: string;
  who: string;
  readings: Record<string, string>;
  proposed: SheetLineView[]; // lines that the program asked for, and that were read
}

export class BenchStore extends Store {
  readonly sheet: Run<SheetView>;
  readonly judged: Run<BenchView>;
  readonly plan: Run<BoardView>; // its tag: which board, of which revision of the link
  kept: Kept = { board: "", who: "", readings: {}, proposed: [] };
  recorded = "";
  refusal: Refusal | null = null;

  constructor(readonly link: string) {
    super();
    this.sheet = runOf(`sheet/${link}`);
    this.judged = runOf(`readings/${link}`);
    this.plan = runOf(`board/${link}`);
    this.plan.listen(() => this.changed());
    this.sheet.listen(() => this.changed());
    this.judged.listen(() => this.changed());
    try {
      const text = sessionStorage.getItem(this.key);
      if (text) this.kept = { ...this.kept, ...(JSON.parse(text) as Partial<Kept>) };
    } catch {
      // Nothing to go on with.
    }
  }

  get lines(): SheetLineView[] {
    const lines = this.sheet.result?.lines ?? [];
    const known = new Set(lines.map((line) => line.id));
    return [...lines, ...this.kept.proposed.filter((line) => !known.has(line.id))];
  }

  get next(): SheetLineView | null {
    const next = this.judged.result?.next ?? null;
    return next && !this.kept.readings[next.id] ? next : null;
  }

  // The reading that is at hand: the one pressed in the sheet, what is asked for next, or the first
  // that was not taken.
  picked = "";
  get now(): SheetLineView | null {
    const lines = this.lines;
    const picked = lines.find((line) => line.id === this.picked);
    if (picked) return picked;
    if (this.judged.result) return this.next;
    return lines.find((line) => !this.kept.readings[line.id]) ?? null;
  }

  pick(id: string): void {
    this.picked = id;
    this.changed();
  }

  makeSheet(board: string, revision: number): void {
    this.keep({ board });
    void this.sheet.start({ work: "sheet", link: this.link, board }, revision, board);
    this.judge();
  }

  // While it is typed: kept here, not judged yet.
  type(line: SheetLineView, text: string): void {
    const known = this.lines.some((other) => other.id === line.id);
    this.keep({
      readings: { ...this.kept.readings, [line.id]: text },
      proposed: known ? this.kept.proposed : [...this.kept.proposed, line],
    });
  }

  read(line: SheetLineView, text: string): void {
    if (this.picked === line.id) this.picked = "";
    this.type(line, text.trim());
    this.judge();
  }

  setWho(who: string): void {
    this.keep({ who });
  }

  clear(): void {
    this.keep({ readings: {}, proposed: [] });
    this.judged.forget();
  }

  async record(): Promise<void> {
    try {
      const answer = await ask<Recorded>(`/api/links/${encodeURIComponent(this.link)}/record`, { body: this.list });
      this.recorded = answer.file;
      void linkOf(this.link).load(); // its way of the work counts sessions
      this.refusal = null;
    } catch (error) {
      this.refusal = refusalFrom(error);
    }
    this.changed();
  }

  // The board that the link is built on: the one that the readings are asked for, that of the Build
  // screen, or the one that most begin with.
  get board(): string {
    return this.kept.board || runOf(`build/${this.link}`).tag || "solderless";
  }

  makePlan(revision: number): void {
    void this.plan.start({ work: "board", link: this.link, board: this.board }, revision, this.planTag(revision));
  }

  planTag(revision: number): string {
    return `${this.board} ${revision}`;
  }

  // The circuit with the meter on it, or the board.
  async leads(id: string, board = "", suspects: string[] = []): Promise<LeadsView> {
    const query = new URLSearchParams({ reading: id });
    if (board) {
      query.set("board", board);
      query.set("suspects", suspects.join(" "));
    }
    return await ask<LeadsView>(`/api/links/${encodeURIComponent(this.link)}/leads?${query}`);
  }

  judge(): void {
    const list = this.list;
    if (list.readings.length === 0) this.judged.forget();
    else void this.judged.start({ work: "readings", link: this.link, readings: list });
  }

  get list(): ReadingList {
    const readings = Object.entries(this.kept.readings)
      .filter(([, text]) => text !== "")
      .map(([id, text]) => ({ id, text }));
    return { readings, who: this.kept.who };
  }

  private get key(): string {
    return `gapwright readings ${this.link}`;
  }

  private keep(part: Partial<Kept>): void {
    this.kept = { ...this.kept, ...part };
    this.recorded = "";
    try {
      sessionStorage.setItem(this.key, JSON.stringify(this.kept));
    } catch {
      // Storage is full or forbidden: the page still holds it.
    }
    this.changed();
  }
}

const benches = new Map<string, BenchStore>();

export function benchOf(link: string): BenchStore {
  let bench = benches.get(link);
  if (!bench) benches.set(link, (bench = new BenchStore(link)));
  return bench;
}
