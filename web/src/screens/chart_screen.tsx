// Reads a curve off the picture of a data sheet's chart.
import { useEffect } from "preact/hooks";
import { chartOf } from "../chart_store";
import { Progress } from "../common";
import { fitDraft } from "../fit_draft";
import { folder } from "../folder_store";
import { AxisForm, CornerRows, CurveRows } from "../parts/chart_marks";
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
  chart.quantities = view?.quantities ?? [];
  const result = chart.run.result;
  return (
    <>
      <Top title="Read a chart" note={entry?.file} />
      <main id="main" tabIndex={-1} class="screen">
        <p>
          Mark two printed values of each axis, and one place on each curve: by pressing on the picture, or with figures, in the picture's
          pixels. Marks move onto the tick or line beside them when the curves are read. Of a picture taken at an angle mark the plot's four
          corners.
        </p>
        <div class="chart-pair">
          <section aria-label="Picture">
            <ChartPicture chart={chart} name={name} />
          </section>
          <section aria-label="Marks" class="marks">
            <h2>Marks</h2>
            <AxisForm chart={chart} axis="x" />
            <AxisForm chart={chart} axis="y" />
            <CornerRows chart={chart} />
            <CurveRows chart={chart} />
            <div class="form">
              <label>
                all curves measured at
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
                onClick={() => chart.read()}
              >
                {chart.curves.length > 1 ? "Read the curves" : "Read the curve"}
              </button>{" "}
              <span id="marks-missing" class="soft">
                {chart.missing}
              </span>
            </p>
            <Progress run={chart.run} name="Reading the curves" />
          </section>
        </div>
        {result && [...result.cautions, ...result.notes].length > 0 && (
          <section aria-label="What is to be known of the marks">
            <ul>
              {result.cautions.map((line) => (
                <li key={line}>
                  <strong>Caution:</strong> {line}.
                </li>
              ))}
              {result.notes.map((line) => (
                <li key={line}>{line}.</li>
              ))}
            </ul>
          </section>
        )}
        {result?.points && (
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
