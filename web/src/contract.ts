// What the page asks of the program and what it gets: the one description of it, for both sides
// (the program's is src/page/). All texts are ready to show, quantities with their units; pictures
// are whole SVG documents without a style sheet of their own. The page computes nothing.
//
// Paths, all answered as JSON unless said otherwise. ID is an identifier that the program issued.
//   GET  /api/folder                       FolderView
//   GET  /api/pulse                        Pulse; asked every second
//   POST /api/links            NewLink     LinkView
//   GET  /api/links/ID?state=S             LinkView
//   POST /api/links/ID/try     Trial       LinkView of the text with edits, nothing saved; a newer
//                                          trial ends an older one, which is answered 409
//   POST /api/links/ID/edit    Trial       LinkView; the file is saved
//   POST /api/links/ID/undo?state=S   {}   LinkView, likewise redo, save (tries again); state as above
//   POST /api/links/ID/outside?state=S  Outside   LinkView: what to do with a file that changed outside
//   GET  /api/links/ID/part?name=R1        PartDetail
//   GET  /api/links/ID/case?promise=2&end=lowest&state=on     CaseView
//   GET  /api/links/ID/proof               ProofView
//   GET  /api/links/ID/tile                LinkTile
//   GET  /api/links/ID/leads?reading=R     LeadsView; with &board=B&suspects=R3%20Q1 on the plan of
//                                          that board, once a job has found it (else 409), these
//                                          parts framed
//   GET  /api/links/ID/sessions            SessionsView
//   POST /api/links/ID/rename  {name}      FolderView
//   POST /api/links/ID/trash   {}          FolderView, with `trashed`
//   POST /api/trash            Trashed     FolderView
//   POST /api/links/ID/take?state=S   Take LinkView: the answer's text becomes the file's
//   POST /api/links/ID/record  ReadingList Recorded: readings added to the link's bench records
//   GET  /api/links/ID/export?what=W       a file: link, report, check, sheet, readings; with
//                                          &board=B: build, plan, parts, nodes; or
//                                          picture&name=N&as=svg|png|pdf
//   GET  /api/cards/ID                     CardView
//   POST /api/cards/ID/try     CardTrial   CardView of the text with edits, nothing saved
//   POST /api/cards/ID/save    CardSave    CardView; of a card of the folder. 409: changed outside
//   POST /api/cards            NewCard     FolderView
//   GET  /api/drawers/ID                   DrawerView
//   POST /api/drawers          DrawerEdit  DrawerView
//   GET  /api/charts/ID                    the picture's bytes
//   POST /api/charts?name=N    (bytes)     FolderView: a picture put into the folder
//   POST /api/jobs             JobOrder    JobView; what takes longer than a moment
//   GET  /api/jobs/ID                      JobView
//   POST /api/jobs/ID/stop     {}          JobView; a stopped design keeps the best so far
// Errors: status 4xx or 5xx with Refusal.

export interface Refusal {
  error: string; // a sentence: what is wrong
  remedy: string; // what would be right; may be empty
  problems: Problem[]; // of a text, where it is one
}

// A problem with a text: the words as on the terminal, with line and caret.
export interface Problem {
  message: string;
  remedy: string;
  line: number; // from 1; 0 for none
  column: number;
  excerpt: string; // the line with a caret under it, for monospace
  at: Path | null; // the value it is about, where that is one
}

// Where a value stands in a link file or card: ["parts", "R1", "value"], ["promise", 0, "at_least"].
export type Path = (string | number)[];

// One edit of a text. Only that value changes; null takes the key out. Texts are as typed: where a
// quantity is known, the file gets it as files write it ("470" as "470 Ω"). `append` adds a table to an
// array of tables (a promise) or a key with an inline table (a part).
export type Edit =
  | { at: Path; text: string | null }
  | { append: Path; values: Record<string, string | string[]> }
  | { remove: Path } // a whole table of an array
  | { whole: string }; // the text as a whole

export interface Trial {
  edits: Edit[];
  revision: number; // of the text that the edits are about; another one is refused with 409
  state: string; // shown in the schematic; "" for the first
  samples: number; // of the population; 0: the program's own choice
}

export interface FileEntry {
  id: string;
  name: string; // "bell-hammer"
  file: string; // "needs/bell-hammer.link.toml"; empty for what is shipped
  title: string; // of links and cards
  note: string; // "need", "4 problems", "shipped", a card's kind …
  picture?: string; // of cards, SVG: the symbol of its kind; empty where it cannot be read
}

export interface FolderView {
  name: string; // the folder's last name
  links: FileEntry[];
  cards: FileEntry[]; // of the folder, then shipped; note: the kind
  drawers: FileEntry[];
  charts: FileEntry[]; // PNG and JPEG files
  points: FileEntry[]; // CSV files with measured points
  examples: FileEntry[]; // shipped links to start from; ids are for NewLink
  kinds: string[]; // of parts that cards can be fitted for, "led", "coupler" …
  quantities: string[]; // that an axis of a chart may have, as points name them: "forward_voltage" …
  trouble: string; // "the folder cannot be written", or empty
  trashed?: Trashed; // what was just put into the trash
}

// For POST /api/trash, which takes it out again.
export interface Trashed {
  from: string; // in the trash
  to: string; // where it lay
}

// A link among others.
export interface LinkTile {
  verdict: Verdict | ""; // empty without a proof
  verdict_words: string;
  words: string; // how far from the cliff, or why there is no proof
  drawing: string; // SVG, shapes alone; empty without a circuit
  bench: { sessions: number; verdict: string };
}

export interface Pulse {
  folder: number; // raised when files came or went
  links: { id: string; revision: number; outside: boolean }[]; // of the links opened
}

// "file": what stands in the file is taken. "mine": the page's text is written over it.
export interface Outside {
  take: "file" | "mine";
}

export interface NewLink {
  name: string; // of the file, without ending; the program says what is allowed
  from: "example" | "blank" | "need" | "copy";
  source: string; // id of the example or of the link to copy; else ""
  values: Record<string, string>; // of a need: title, drive, load (names of cards), input_supply,
  // output_supply, rate; those left empty are not in it
}

export interface LinkView {
  id: string;
  name: string;
  file: string;
  title: string;
  about: string;
  revision: number;
  text: string; // the whole file, as on the screen
  saved: boolean;
  trouble: string; // why it is not saved; else empty
  outside: { text: string | null } | null; // changed outside: what stands there; null: gone
  undo: string; // what undo would take back, "R1 value: 330 Ω to 1 kΩ"; empty: nothing
  redo: string;
  problems: Problem[];
  need: NeedView | null; // where the file states one
  has_circuit: boolean;
  to_choose: string[]; // resistors whose value is to be chosen
  judgement: Judgement | null; // null where there are problems, no circuit, or values to choose
  unjudged: Unjudged | null; // where values are to be chosen: what there is to see without them
  bench: { sessions: number; verdict: string }; // on record; of the last session, "good", "faulty" …
  parts: PartView[];
  settings: SettingGroup[]; // of the whole link: surroundings, supplies, promises
}

// A circuit with values still to be chosen: drawn and told of; nothing of it can be judged.
export interface Unjudged {
  words: string; // "R2 is still to be chosen: until then nothing can be judged."
  states: string[];
  state: string; // shown in the schematic
  schematic: string; // SVG as of a judgement, without currents and voltages
  promises: StatedPromise[];
  cautions: Caution[]; // those that need no figures
}

export interface StatedPromise {
  number: number; // in the file, from 0
  state: string;
  quantity: string;
  bounds: string;
}

export interface Caution {
  text: string;
  part: string; // that it is about; empty for the link as a whole
}

export type Verdict = "kept" | "thin" | "unknown" | "broken";

export interface Judgement {
  verdict: Verdict;
  verdict_words: string; // "✗ broken"
  sentence: string; // the verdict for people: "Everything promised is kept, as far as searched: it holds until …"
  specimens: string; // "10000 specimens and 812 of the worst-case search"
  states: string[];
  state: string; // shown in the schematic
  // SVG. A part's group bears data-part; data-range, over all specimens; and where pressing it
  // switches, data-press: the state that it leads to.
  schematic: string;
  promises: PromiseView[];
  ratings: PromiseView[]; // each limit in its tightest state, the tightest first
  cautions: Caution[];
  milliseconds: number; // that it took
  left_out?: string; // limits that a trial did not look at, in words
}

export interface PromiseView {
  number: number; // of the promise in the file, from 0; −1 for a rating
  state: string;
  quantity: string; // "voltage supply to coil"
  bounds: string; // "≥ 16.8 V"; of a limit that nobody states "≤ 100 mW, assumed"
  nominal: string;
  worst: string;
  lowest: string;
  highest: string;
  reserve: string; // of the worst against the bound, "12 %"
  stretch: string; // how wide every spread may be, times itself, "1.15"; empty where not looked for
  share: string; // "all of 10000 (at least 99.96 %)"; empty for ratings
  worst_case: string; // the figures of the worst case
  reason: string; // of an unknown verdict: why, and what would settle it; else empty
  verdict: Verdict;
  verdict_words: string;
  bar: string; // SVG: bound, worst, nominal, drawn specimens
}

export interface Field {
  at: Path;
  key: string; // "forward_voltage"
  label: string; // "forward voltage"
  text: string; // as it stands, or would stand, in the file
  origin: "file" | "card" | "assumed" | "absent";
  example: string; // what could be typed: "330 Ω ± 5 %"
  words: string[]; // of a choice; else empty
}

export interface PartView {
  name: string;
  kind: string;
  title: string; // "Four-pin coupler, gain class B", "resistor"
  side: "input" | "output" | "both";
  value: string; // in a few characters
  card: string; // its name; empty for none
  cards: { name: string; title: string }[]; // that could stand there
  fields: Field[]; // stated ones first
}

export interface FieldGroup {
  name: string; // "Surroundings", "Supplies", "Promise 1: voltage supply to coil, on"; of cards "Limits"
  fields: Field[];
}

export interface SettingGroup extends FieldGroup {
  promise: number; // from 0, or −1
  note?: string; // in a sentence, beneath them
}

export interface PartDetail {
  name: string;
  steps: { title: string; lines: string[] }[];
  shares: { promise: string; share: string; grade: string }[]; // of each promise's spread
  choices: Choice[]; // from the drawer, else from preferred values and cards; the best first
  choices_from: string; // "drawer.csv", "the E24 series", "cards"
}

export interface Choice {
  text: string; // "3.3 kΩ"
  reserve: string; // the link's least
  limited_by: string;
  verdict: Verdict;
  verdict_words: string;
  taken: boolean; // it is what stands there
  edits: Edit[];
}

export interface CaseView {
  words: string; // the figures of this case
  schematic: string; // SVG: one specimen's currents and voltages
}

export interface NamedPicture {
  name: string; // for export
  caption: string;
  svg: string;
}

export interface ProofView {
  revision: number;
  sections: { name: string; pictures: NamedPicture[] }[]; // Margins, Load lines, Population, …
  emitters: { name: string; list: { title: string; lines: string[] }[] }; // how long at which current
  steps: { title: string; lines: string[] }[];
}

export interface NeedView {
  fields: SettingGroup[]; // "What drives it", "What it switches", "Supplies" …
}

// Long work.
export type JobOrder =
  | { work: "design"; link: string }
  | { work: "build"; link: string; board: string } // "solderless", "strip", "grid"
  | { work: "board"; link: string; board: string } // finds the plan that leads are shown on
  | { work: "sheet"; link: string; board: string } // the test sheet; board "" for none
  | { work: "readings"; link: string; readings: ReadingList } // a newer one ends an older one
  | FitOrder
  | { work: "trace"; chart: string; trace: TraceOrder };

export interface FitOrder {
  work: "fit";
  kind: string; // "" where based_on says it
  based_on: string; // id of a card, or ""
  name: string; // of the card, for people
  source: string; // where the points come from, in words
  file: string; // id of a points file of the folder, or "" where points are given
  points: string; // CSV, as pasted or traced
  settings: Record<string, string>; // what all points were measured at
}

export interface JobView {
  id: string;
  state: "running" | "done" | "stopped" | "failed";
  progress: string; // in words
  share: number; // 0 … 1; −1 where unknown
  refusal: Refusal | null; // of a failed one
  result: DesignView | BuildView | BoardView | SheetView | BenchView | FitView | TraceView | null;
}

export interface DesignView {
  words: string; // how many answers hold, from what
  answers: AnswerView[];
  gaps: { gap: string; kind: string; reserve: string; words: string }[];
  not_looked_at: string[]; // drafts that no answer could be made of, and why
  skipped: string[]; // rows of the drawer that could not be read
}

export interface AnswerView {
  number: number; // from 0, for Take; shown from 1
  characters: string; // "first choice, fewest parts"
  verdict: Verdict;
  verdict_words: string;
  reserve: string;
  limited_by: string;
  stretch: string; // "stretch 2.1"; empty where none is known
  when_dead: string; // "input side dead (no supply, wire cut, emitter failed): as in state off"
  against_first: string; // what it has over the first, and what it pays; empty for the first
  against_practice: string[];
  parts: string; // "7 parts"
  current: string;
  values: { part: string; text: string; window: string; why: string[] }[];
  schematic: string;
  unknown: string[]; // what would settle what is not known of it
  text: string; // the link file
}

export interface Take {
  job: string;
  answer: number;
  revision: number;
}

export interface BuildView {
  board: string; // "solderless"
  boards: { name: string; title: string }[];
  words: string; // "solderless board of 30 rows, 7 wires"
  plan: NamedPicture[]; // all of it; from below where there is soldering
  steps: { title: string; check: boolean; lines: string[]; picture: string }[];
  parts: { names: string; text: string; bands: string; drawer: string[]; missing: boolean }[];
  insulation: string[];
  cautions: string[];
}

export interface ReadingList {
  readings: { id: string; text: string }[]; // as typed: "4.32 V"
  who: string;
}

export interface SheetView {
  lines: SheetLineView[];
  checks: string[];
  cautions: string[];
  unseen: string;
}

export interface SheetLineView {
  id: string; // for readings
  state: string; // how the link is set
  measure: string;
  leads: string; // "red on …, black on …"
  band: string; // "4.9 … 5.1 V"
  nominal: string;
  unit: string; // "V"
  powered: boolean; // taken with the supplies on
  on_sheet: boolean; // false: one that was proposed
}

// The sessions on record, held against one another.
export interface SessionsView {
  sessions: { file: string; when: string; specimen: string; verdict: string; readings: number; suspects: string[] }[];
  changes: { measure: string; before: string; earlier: string; after: string; session: string }[]; // by more than the meter's errors
  pooled: { measure: string; band: string; values: { specimen: string; text: string; judgement: string; apart: boolean }[] }[];
  unreadable: string[];
}

export interface LeadsView {
  drawing: string; // SVG: the schematic, or a board's plan, with the meter on it
  note: string; // of a lead that is held off the board; else empty
}

// A plan that was found, and is kept while the link is wired the same.
export interface BoardView {
  board: string; // "solderless"
  words: string; // "solderless board of 30 rows, 7 wires"
}

export interface BenchView {
  readings: {
    id: string;
    text: string;
    judgement: "in band" | "suspicious" | "wrong" | "unread";
    words: string; // "✓ in band", or why it could not be read
  }[];
  verdict: "good" | "undecided" | "faulty" | "joined" | "unexplained" | "";
  words: string;
  suspects: Suspect[]; // the likeliest first
  next: SheetLineView | null;
}

export interface Suspect {
  text: string;
  share: string;
  explained: string;
  parts: string[]; // by name: those that it is about
  alike: boolean; // cannot be told from the one before
}

export interface Recorded {
  file: string;
}

// A drawer as a table.
export interface DrawerView {
  id: string;
  name: string;
  text: string; // the file's
  columns: string[];
  rows: DrawerRow[];
}

export interface DrawerRow {
  cells: string[]; // by column
  bands: string[]; // colours on a resistor, in the order of reading; empty for none
  problem: string; // why the row cannot be read; else empty
}

export interface DrawerEdit {
  id: string;
  columns: string[];
  rows: string[][];
  replaces: string; // the text that was read: it is written over only while that still stands there
}

export interface CardView {
  id: string;
  name: string;
  title: string;
  kind: string; // empty where its text does not say
  shipped: boolean;
  text: string; // the file's, or of a trial with the edits
  groups: FieldGroup[]; // title and source first; empty where the text cannot be read at all
  findings: { text: string; grave: boolean }[]; // what cannot be right about it
  charts: NamedPicture[]; // none where there are problems or grave findings; of a trial with the file's curves dashed
  problems: Problem[];
  refused: Path[]; // edits of a trial that are not in the text: its problems say why
}

export interface CardTrial {
  text: string; // that the edits are about
  edits: Edit[]; // of one value each
}

export interface CardSave {
  text: string;
  replaces: string; // the text that was read: it is written over only while that still stands there
}

export interface NewCard {
  name: string;
  text: string;
}

export interface FitView {
  words: string; // the fit as on the terminal
  figures: { label: string; text: string; note: string }[]; // note: how certain, or not told
  pictures: NamedPicture[];
  text: string; // the card file
}

export interface ChartAxis {
  quantity: string; // "voltage", "current" …: of the points' column, with the unit of the values
  logarithmic: boolean;
}

// A place of the picture, in its pixels, with the values there as typed, "20 mA"; "" where unknown.
export interface ChartMark {
  x: number;
  y: number;
  x_value: string;
  y_value: string;
}

export interface TraceOrder {
  x: ChartAxis;
  y: ChartAxis;
  marks: ChartMark[]; // two of each axis, or four corners with both values
  curves: { seeds: { x: number; y: number }[]; settings: Record<string, string> }[]; // places on each
  settings: Record<string, string>; // of all points: "emitter_current": "10 mA"
}

export interface TraceView {
  words: string;
  notes: string[]; // marks that were moved onto lines
  cautions: string[]; // what readings may be wrong by
  marks: { x: number; y: number }[]; // where they were taken to be, in the order's sequence
  curves: CurveView[]; // in the order's sequence
  points: string; // CSV; "" where no curve could be read
}

export interface CurveView {
  number: number; // from 1
  refusal: string; // why it could not be read; "" of one that was
  remedy: string;
  points: { x: number; y: number }[]; // pixels
}
