// Reads a curve off the picture of a data sheet's chart.
import { useEffect } from "preact/hooks";
import { chartOf } from "../chart_store";
import { Progress } from "../common";
import { fitDraft } from "../fit_draft";
import { folder } from "../folder_store";
import { AxisForm, SeedRows } from "../parts/chart_marks";
import { ChartPicture } from "../parts/chart_picture";
import { place } from "../route";
import { useStore } from "../store";
import { Top } from "./top";

export function ChartScreen({ id }: { id: string }) {
  const chart = useStore(chartOf(id));
  const { view } = useStore(folder);
  useEffect(() => {
    if (!folder.view) void folder.load();
  }, []);
  const entry = view?.charts.find((other) => other.id === id);
  const name = entry?.title || entry?.name || "";
  const words = view?.quantities ?? [];
  const x = chart.x.quantity || words[0] || "";
  const y = chart.y.quantity || words[1] || "";
  const result = chart.run.result;
  return (
    <>
      <Top title="Read a chart" note={entry?.file} />
      <main id="main" tabIndex={-1} class="screen">
        <p>
          Mark two printed values of each axis and a place on the curve: by pressing on the picture, or with figures, in the picture's
          pixels.
        </p>
        <div class="chart-pair">
          <section aria-label="Picture">
            <ChartPicture chart={chart} name={name} />
          </section>
          <section aria-label="Marks" class="marks">
            <h2>Marks</h2>
            <AxisForm chart={chart} axis="x" quantities={words} quantity={x} />
            <AxisForm chart={chart} axis="y" quantities={words} quantity={y} />
            <SeedRows chart={chart} />
            <div class="form">
              <label>
                measured at
                <input
                  type="text"
                  autocomplete="off"
                  placeholder="temperature = 25 °C"
                  value={chart.measuredAt}
                  onInput={(event) => chart.setMeasuredAt(event.currentTarget.value)}
                />
              </label>
            </div>
            <p class="buttons">
              <button
                type="button"
                class="main"
                disabled={!!chart.missing || chart.run.running}
                aria-describedby="marks-missing"
                onClick={() => chart.read({ x, y })}
              >
                Read the curve
              </button>{" "}
              <span id="marks-missing" class="soft">
                {chart.missing}
              </span>
            </p>
            <Progress run={chart.run} name="Reading the curve" />
          </section>
        </div>
        {result && (
          <section aria-label="Points read">
            <h2>Points read</h2>
            <pre class="plain" tabIndex={0}>
              {result.words}
            </pre>
            <textarea
              class="file"
              aria-label="Points as CSV"
              readOnly
              rows={Math.min(16, result.points.split("\n").length + 1)}
              value={result.points}
            />
            <p class="buttons">
              <button
                type="button"
                class="main"
                onClick={() => {
                  fitDraft.set({ points: result.points, file: "", source: fitDraft.source || (entry ? `read off ${entry.file}` : "") });
                  place.go({ at: "fit" });
                }}
              >
                Fit a card from these points
              </button>
            </p>
          </section>
        )}
      </main>
    </>
  );
}
