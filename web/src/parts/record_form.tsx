// Who measured, and what becomes of the readings.
import { useState } from "preact/hooks";
import type { BenchStore } from "../bench_store";
import { RefusalNote } from "../common";

export function RecordForm({ bench }: { bench: BenchStore }) {
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
