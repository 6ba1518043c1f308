// At the bench, made for one hand and a small screen: what to measure, what was read, which faults
// would explain it, and what to measure next.
import { useEffect, useLayoutEffect, useRef, useState } from "preact/hooks";
import { benchOf, type BenchStore } from "../bench_store";
import { Cautions, Progress, RefusalNote } from "../common";
import type { BenchView, LinkView, SheetLineView } from "../contract";
import type { LinkStore } from "../link_store";
import { NothingTo } from "../parts/nothing";
import { Sessions } from "../parts/sessions";
import { Picture } from "../picture";
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
      <Progress run={bench.sheet} name="Test sheet" />
      <div class="bench-pair">
        <section aria-label="What it means" class="meaning">
          <Meaning bench={bench} judged={judged} />
          {bench.judged.refusal && <RefusalNote refusal={bench.judged.refusal} />}
        </section>
        <section aria-label="Test sheet">
          <h2>All readings</h2>
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
          <RecordForm bench={bench} />
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
      {sheet && <Sessions link={link.id} count={view.bench.sessions} recorded={bench.recorded} />}
      {sheet && <Cautions texts={sheet.cautions} />}
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
          {!line.on_sheet && <span class="soft"> proposed</span>}{" "}
          <button
            type="button"
            class="quiet small"
            aria-label={`Show where reading ${number} is taken`}
            onClick={() => bench.pick(line.id)}
          >
            where
          </button>
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

function Meaning({ bench, judged }: { bench: BenchStore; judged: BenchView | null }) {
  const now = bench.now;
  const [all, setAll] = useState(false);
  const suspects = judged?.suspects ?? [];
  const told = all ? suspects : suspects.slice(0, first_told);
  const outcome = useRef<HTMLParagraphElement>(null);
  const joined = judged?.verdict === "joined";
  const running = bench.judged.running;
  useEffect(() => {
    if (now || running || !judged || !follows) return;
    follows = false;
    outcome.current?.focus({ preventScroll: false }); // nothing more is asked for: what came of it
  }, [now, running, judged]);
  useEffect(() => {
    if (joined) outcome.current?.scrollIntoView({ block: "start" }); // nothing matters more
  }, [joined]);
  return (
    <div class={bench.judged.running && judged ? "stale" : ""}>
      <h2 class="unseen">What it means</h2>
      {judged ? (
        <p ref={outcome} tabIndex={-1} role={joined ? "alert" : "status"} class={`outcome ${grades[judged.verdict]}`}>
          <strong class={`judged ${grades[judged.verdict]}`}>{judged.words}</strong>
        </p>
      ) : (
        <p class="soft outcome">{bench.judged.running ? "Comparing …" : "Type what the meter shows: each reading is judged at once."}</p>
      )}
      {!now && running && <p class="soft">Judging the reading …</p>}
      {now && (
        <div class="measure next" role="group" aria-label="Measure next">
          <h3>
            {judged ? "Measure next" : "Measure first"}: {now.measure}
          </h3>
          <p class="soft small">{now.state}</p>
          <Leads bench={bench} line={now} />
          <p class="soft leads">{now.leads}</p>
          <NextEntry key={now.id} bench={bench} line={now} />
        </div>
      )}
      {told.length > 0 && (
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
          {suspects.length > first_told && (
            <button type="button" class="quiet" onClick={() => setAll(!all)}>
              {all ? "the first three" : `${suspects.length - first_told} more`}
            </button>
          )}
        </>
      )}
    </div>
  );
}

// The drawing with the meter on it: where its leads go stands in the middle.
function Leads({ bench, line }: { bench: BenchStore; line: SheetLineView }) {
  const [drawing, setDrawing] = useState("");
  const frame = useRef<HTMLDivElement>(null);
  useEffect(() => {
    let current = true;
    void bench.leads(line.id).then((svg) => current && setDrawing(svg));
    return () => {
      current = false;
    };
  }, [bench, line.id]);
  useLayoutEffect(() => {
    const at = frame.current;
    const marks = at?.querySelectorAll(".probe:not(.rings)") ?? [];
    if (!at || marks.length === 0) return;
    const own = at.getBoundingClientRect();
    const around = () => {
      const boxes = [...marks].map((mark) => mark.getBoundingClientRect());
      return {
        x: (Math.min(...boxes.map((box) => box.left)) + Math.max(...boxes.map((box) => box.right))) / 2,
        y: (Math.min(...boxes.map((box) => box.top)) + Math.max(...boxes.map((box) => box.bottom))) / 2,
        high: Math.max(...boxes.map((box) => box.bottom)) - Math.min(...boxes.map((box) => box.top)),
      };
    };
    // Both leads in one look: the frame stays as it is, so that nothing moves under a finger.
    const svg = at.querySelector("svg");
    const scale = Math.min(1, (own.height - 16) / around().high);
    if (svg) svg.style.width = `${svg.viewBox.baseVal.width * scale}px`;
    const middle = around();
    at.scrollLeft += middle.x - (own.left + own.width / 2);
    at.scrollTop += middle.y - (own.top + own.height / 2);
  }, [drawing]);
  return (
    <div class="scroll leads-drawing" ref={frame} tabIndex={0} role="group" aria-label="Where the leads go">
      {drawing && <Picture svg={drawing} />}
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
    return () => {
      // Another question takes its place: whoever stood in it goes on there.
      if (document.activeElement === input.current) follows = true;
    };
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
      <span class="band-of">
        <small>right: </small>
        {line.band}
      </span>
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
      <button
        type="button"
        aria-disabled={count === 0 || bench.recorded !== ""}
        onClick={() => count > 0 && !bench.recorded && void bench.record()}
      >
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
