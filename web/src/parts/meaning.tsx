// What the readings come to, and what to measure next.
import { useEffect, useRef } from "preact/hooks";
import type { BenchStore } from "../bench_store";
import type { BenchView } from "../contract";
import { takeHand } from "../hand";
import { NextReading } from "./next_reading";
import { first_told, Suspects } from "./suspects";

const grades = { good: "kept", undecided: "thin", faulty: "broken", joined: "broken", unexplained: "broken", "": "" };

interface MeaningProps {
  bench: BenchStore;
  judged: BenchView | null;
  revision: number; // of the link
}

export function Meaning({ bench, judged, revision }: MeaningProps) {
  const now = bench.now;
  const suspects = judged?.suspects ?? [];
  const suspected = [...new Set(suspects.slice(0, first_told).flatMap((suspect) => suspect.parts))];
  const outcome = useRef<HTMLParagraphElement>(null);
  const joined = judged?.verdict === "joined";
  const running = bench.judged.running;
  useEffect(() => {
    if (now || running || !judged || !takeHand()) return;
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
      {now && <NextReading bench={bench} line={now} revision={revision} first={!judged} suspected={suspected} />}
      <Suspects suspects={suspects} />
    </div>
  );
}
