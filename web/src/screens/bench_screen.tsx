// At the bench, made for one hand and a small screen: what to measure, what was read, which faults
// would explain it, and what to measure next.
import { useEffect } from "preact/hooks";
import { benchOf } from "../bench_store";
import { Cautions, Progress, RefusalNote } from "../common";
import type { LinkView } from "../contract";
import type { LinkStore } from "../link_store";
import { Meaning } from "../parts/meaning";
import { NothingTo } from "../parts/nothing";
import { RecordForm } from "../parts/record_form";
import { SheetLine } from "../parts/sheet_line";
import { Sessions } from "../parts/sessions";
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
          <Meaning bench={bench} judged={judged} revision={revision} />
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
              <SheetLine key={line.id} bench={bench} line={line} number={index + 1} turn={all[index - 1]?.state !== line.state} />
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
