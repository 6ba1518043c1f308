// The reading that is asked for: what, where the leads go, and the box for what the meter shows.
import { useEffect, useRef, useState } from "preact/hooks";
import type { BenchStore } from "../bench_store";
import type { SheetLineView } from "../contract";
import { handFollows, takeHand } from "../hand";
import { Leads } from "./leads";

interface NextReadingProps {
  bench: BenchStore;
  line: SheetLineView;
  revision: number; // of the link
  first: boolean; // nothing was read yet
  suspected: string[]; // parts
}

export function NextReading({ bench, line, revision, first, suspected }: NextReadingProps) {
  return (
    <div class="measure next" role="group" aria-label="Measure next">
      <h3>
        Measure {first ? "first" : "next"}: {line.measure}
      </h3>
      <p class="soft small">{line.state}</p>
      <Leads bench={bench} line={line} revision={revision} suspected={suspected} />
      <p class="soft leads">{line.leads}</p>
      <NextEntry key={line.id} bench={bench} line={line} />
    </div>
  );
}

// Its text goes to the sheet when it is done: until then the proposal stays where it is.
function NextEntry({ bench, line }: { bench: BenchStore; line: SheetLineView }) {
  const [text, setText] = useState("");
  const input = useRef<HTMLInputElement>(null);
  useEffect(() => {
    if (takeHand()) input.current?.focus();
    return () => {
      // Another question takes its place: whoever stood in it goes on there.
      if (document.activeElement === input.current) handFollows(true);
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
        onKeyDown={(event) => event.key === "Enter" && handFollows(true)}
        onInput={(event) => setText(event.currentTarget.value)}
        onChange={(event) => event.currentTarget.value.trim() && bench.read(line, event.currentTarget.value)}
      />
      <span class="unit">{line.unit}</span>
      <span class="band-of">
        <small>expected: </small>
        {line.band}
      </span>
    </div>
  );
}
