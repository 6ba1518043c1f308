// One line of the test sheet: what to measure, where, what is right, and what was read.
import type { BenchStore } from "../bench_store";
import type { SheetLineView } from "../contract";
import { toNext } from "../hand";

interface LineProps {
  bench: BenchStore;
  line: SheetLineView;
  number: number;
  turn: boolean; // another state than the line before
}

export function SheetLine({ bench, line, number, turn }: LineProps) {
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
          <small>expected: </small>
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

const classOf = { "in band": "kept", suspicious: "thin", wrong: "broken", unread: "broken" };
