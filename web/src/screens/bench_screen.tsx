// At the bench, made for one hand and a small screen: what to measure, what was read, which faults
// would explain it, and what to measure next.
import { useEffect, useRef, useState } from "preact/hooks";
import { benchOf, type BenchStore } from "../bench_store";
import { Cautions, Progress, RefusalNote } from "../common";
import type { BenchView, LinkView, SheetLineView } from "../contract";
import type { LinkStore } from "../link_store";
import { NothingTo } from "../parts/nothing";
import { useStore } from "../store";
import { boards } from "./build_screen";

export function BenchScreen({ link, view }: { link: LinkStore; view: LinkView }) {
  const bench = useStore(benchOf(link.id));
  const revision = link.view?.revision ?? 0;
  const ready = !!link.view?.judgement;
  useEffect(() => {
    const fresh = bench.sheet.result && bench.sheet.revision === revision;
    if (ready && !fresh && !bench.sheet.running) bench.makeSheet(bench.kept.board, revision);
  }, [bench, ready, revision]);
  if (!view.judgement && !bench.sheet.result) return <NothingTo link={link} view={view} act="measure" />;
  const sheet = bench.sheet.result;
  const judged = bench.judged.result;
  return (
    <>
      <div class="row">
        <label class="inline">
          board{" "}
          <select value={bench.kept.board} onChange={(event) => bench.makeSheet(event.currentTarget.value, revision)}>
            <option value="">none</option>
            {boards.map((board) => (
              <option key={board.name} value={board.name}>
                {board.title}
              </option>
            ))}
          </select>
        </label>
      </div>
      <Progress run={bench.sheet} name="Test sheet" />
      {sheet && <Cautions texts={sheet.cautions} />}
      {sheet && sheet.checks.length > 0 && (
        <details class="block">
          <summary>
            <h2>Look first</h2>
            <span class="soft">{sheet.checks.length === 1 ? "1 thing" : `${sheet.checks.length} things`} to see before the meter</span>
          </summary>
          <ul>
            {sheet.checks.map((check, index) => (
              <li key={index}>{check}</li>
            ))}
          </ul>
        </details>
      )}
      <div class="bench-pair">
        <section aria-label="What it means" class="meaning">
          {judged ? (
            <Meaning bench={bench} judged={judged} />
          ) : (
            <p class="soft">{bench.judged.running ? "Comparing …" : "Type what the meter shows: each reading is judged at once."}</p>
          )}
          {bench.judged.refusal && <RefusalNote refusal={bench.judged.refusal} />}
          <RecordForm bench={bench} />
        </section>
        <section aria-label="Test sheet">
          <h2>Measure</h2>
          <ol class="sheet-lines" aria-label="Measurements">
            {bench.lines.map((line, index, all) => (
              <Line key={line.id} bench={bench} line={line} number={index + 1} turn={all[index - 1]?.state !== line.state} />
            ))}
          </ol>
          {sheet?.unseen && (
            <p class="soft small">
              <b>What this sheet does not see:</b> {sheet.unseen}.
            </p>
          )}
        </section>
      </div>
    </>
  );
}

interface LineProps {
  bench: BenchStore;
  line: SheetLineView;
  number: number;
  turn: boolean; // another state than the line before
}

function Line({ bench, line, number, turn }: LineProps) {
  return (
    <li>
      {turn && <h3 class="setting">{line.state}</h3>}
      <div class="measure">
        <p class="what">
          <b>
            {number}. {line.measure}
          </b>
          {!line.on_sheet && <span class="soft"> proposed</span>}
        </p>
        <p class="soft leads">{line.leads}</p>
        <p class="band-of">
          <small>right: </small>
          {line.band}
        </p>
        <Entry bench={bench} line={line} name={`reading ${number}: ${line.measure}`} />
      </div>
    </li>
  );
}

function Entry({ bench, line, name }: { bench: BenchStore; line: SheetLineView; name: string }) {
  const text = bench.kept.readings[line.id] ?? "";
  const said = bench.judged.result?.readings.find((reading) => reading.id === line.id);
  const current = said && said.text === text ? said : undefined;
  const id = `said-${line.id}`.replace(/[^\w-]/g, "_");
  // Nothing is switched on while the sides are joined.
  if (line.powered && bench.judged.result?.verdict === "joined") {
    return <p class="entry soft">not while the sides are joined</p>;
  }
  return (
    <div class="entry">
      <input
        type="text"
        inputMode="text"
        autocomplete="off"
        autocapitalize="off"
        spellcheck={false}
        enterkeyhint="next"
        aria-label={name}
        aria-describedby={id}
        value={text}
        onInput={(event) => bench.type(line, event.currentTarget.value)}
        onChange={(event) => bench.read(line, event.currentTarget.value)}
        onKeyDown={(event) => event.key === "Enter" && toNext(event.currentTarget)}
      />
      <span class="unit">{line.unit}</span>
      <span id={id} role="status" class={`said ${current ? classOf[current.judgement] : ""}`}>
        {current?.words ?? (text ? "…" : "")}
      </span>
    </div>
  );
}

// One hand holds the leads: Enter goes on to what is asked for next, else to the next line. What is
// asked for may only be known when the reading has been judged; it takes the focus then.
let follows = false;

function toNext(input: HTMLInputElement): void {
  follows = true;
  const asked = document.querySelector<HTMLInputElement>(".next input");
  const all = [...document.querySelectorAll<HTMLInputElement>(".sheet-lines input")];
  const next = asked ?? all[all.indexOf(input) + 1];
  if (next) next.focus();
  else input.blur();
}

const classOf = { "in band": "kept", suspicious: "thin", wrong: "broken", unread: "broken" };
const grades = { good: "kept", undecided: "thin", faulty: "broken", joined: "broken", unexplained: "broken", "": "" };

const first_told = 3;

function Meaning({ bench, judged }: { bench: BenchStore; judged: BenchView }) {
  const next = bench.next;
  const [all, setAll] = useState(false);
  const told = all ? judged.suspects : judged.suspects.slice(0, first_told);
  return (
    <div class={bench.judged.running ? "stale" : ""}>
      <p role={judged.verdict === "joined" ? "alert" : "status"} class={`outcome ${grades[judged.verdict]}`}>
        <strong class={`judged ${grades[judged.verdict]}`}>{judged.words}</strong>
      </p>
      {next && (
        <div class="measure next" role="group" aria-label="Measure next">
          <h3>Measure next</h3>
          <p class="what">
            <b>{next.measure}</b> <span class="soft">{next.state}</span>
          </p>
          <p class="soft leads">{next.leads}</p>
          <p class="band-of">
            <small>right: </small>
            {next.band}
          </p>
          <NextEntry key={next.id} bench={bench} line={next} />
        </div>
      )}
      {judged.suspects.length > 0 && (
        <>
          <h3>What would explain the readings</h3>
          <ol class="suspects" aria-label="Suspects">
            {told.map((suspect, index) => (
              <li key={index}>
                <b>{suspect.text}</b> <span class="share">{suspect.share}</span>
                {suspect.explained && <p class="soft">{suspect.explained}</p>}
                {suspect.alike && <p class="soft">No measurement tells it from the one before.</p>}
              </li>
            ))}
          </ol>
          {judged.suspects.length > first_told && (
            <button type="button" class="quiet" onClick={() => setAll(!all)}>
              {all ? "the first three" : `${judged.suspects.length - first_told} more`}
            </button>
          )}
        </>
      )}
    </div>
  );
}

// Its text goes to the sheet when it is done: until then the proposal stays where it is.
function NextEntry({ bench, line }: { bench: BenchStore; line: SheetLineView }) {
  const [text, setText] = useState("");
  const input = useRef<HTMLInputElement>(null);
  useEffect(() => {
    if (follows) input.current?.focus();
    follows = false;
  }, []);
  return (
    <div class="entry">
      <input
        ref={input}
        type="text"
        inputMode="text"
        autocomplete="off"
        spellcheck={false}
        enterkeyhint="next"
        aria-label={`next: ${line.measure}`}
        value={text}
        onKeyDown={(event) => (follows = follows || event.key === "Enter")}
        onInput={(event) => setText(event.currentTarget.value)}
        onChange={(event) => event.currentTarget.value.trim() && bench.read(line, event.currentTarget.value)}
      />
      <span class="unit">{line.unit}</span>
    </div>
  );
}

function RecordForm({ bench }: { bench: BenchStore }) {
  const count = bench.list.readings.length;
  const [asked, setAsked] = useState(false);
  return (
    <div class="form record">
      <label>
        who measured
        <input type="text" autocomplete="off" value={bench.kept.who} onInput={(event) => bench.setWho(event.currentTarget.value)} />
      </label>
      <button type="button" disabled={count === 0} onClick={() => void bench.record()}>
        Record
      </button>
      <button
        type="button"
        disabled={count === 0}
        onBlur={() => setAsked(false)}
        onClick={() => {
          if (asked) bench.clear();
          setAsked(!asked);
        }}
      >
        {asked ? `Clear ${count === 1 ? "the reading" : `all ${count} readings`}: press again` : "Clear readings"}
      </button>
      <p role="status" class="soft">
        {bench.recorded ? `Recorded in ${bench.recorded}.` : `${count} of ${bench.lines.length} read`}
      </p>
      {bench.refusal && <RefusalNote refusal={bench.refusal} />}
    </div>
  );
}
