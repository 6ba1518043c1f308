// The marks as figures: the same as by pressing, for the keyboard and for exactness.
import type { Axis, ChartStore, CornerTool, Curve, MarkTool, Spot } from "../chart_store";
import { cornerTools } from "../chart_store";
import type { CurveView } from "../contract";

interface AxisFormProps {
  chart: ChartStore;
  axis: "x" | "y";
}

export function AxisForm({ chart, axis }: AxisFormProps) {
  const state: Axis = chart[axis];
  return (
    <fieldset class="axis">
      <legend>{axis} axis</legend>
      <label>
        quantity
        <select
          aria-label={`quantity of ${axis}`}
          value={chart.quantityOf(axis)}
          onChange={(event) => chart.setAxis(axis, { quantity: event.currentTarget.value })}
        >
          {chart.quantities.map((word) => (
            <option key={word} value={word}>
              {word.replaceAll("_", " ")}
            </option>
          ))}
        </select>
      </label>
      <label class="inline">
        <input
          type="checkbox"
          checked={state.logarithmic}
          onChange={(event) => chart.setAxis(axis, { logarithmic: event.currentTarget.checked })}
        />
        logarithmic
      </label>
      <MarkRow chart={chart} tool={`${axis}1`} words={`${axis} mark 1`} />
      <MarkRow chart={chart} tool={`${axis}2`} words={`${axis} mark 2`} />
    </fieldset>
  );
}

function MarkRow({ chart, tool, words }: { chart: ChartStore; tool: MarkTool; words: string }) {
  const mark = chart.markOf(tool);
  return (
    <div class="mark-row">
      {chart.atAngle ? (
        <strong>{tool}</strong>
      ) : (
        <>
          <ToolButton chart={chart} tool={tool} />
          <SpotFields words={words} spot={mark.spot} onSpot={(spot) => chart.setSpot(tool, spot)} />
        </>
      )}
      <label>
        value
        <input
          type="text"
          autocomplete="off"
          aria-label={`value at ${words}`}
          placeholder={tool.startsWith("x") ? "0.9 V" : "100 mA"}
          value={mark.value}
          onInput={(event) => chart.setValue(tool, event.currentTarget.value)}
        />
      </label>
    </div>
  );
}

function ToolButton({ chart, tool }: { chart: ChartStore; tool: MarkTool | CornerTool }) {
  return (
    <button type="button" aria-label={`${tool} on the picture`} aria-pressed={chart.tool === tool} onClick={() => chart.pick(tool)}>
      {tool}
    </button>
  );
}

// Of a picture taken at an angle: where the lines of the marked values cross.
export function CornerRows({ chart }: { chart: ChartStore }) {
  return (
    <fieldset class="axis">
      <legend>corners</legend>
      <label class="inline">
        <input type="checkbox" checked={chart.atAngle} onChange={(event) => chart.setAtAngle(event.currentTarget.checked)} />
        taken at an angle: mark four corners
      </label>
      {chart.atAngle &&
        cornerTools.map(([tool, words], at) => (
          <div class="mark-row" key={tool}>
            <ToolButton chart={chart} tool={tool} />
            <SpotFields words={words} spot={chart.corners[at] ?? null} onSpot={(spot) => chart.setSpot(tool, spot)} />
            <span class="soft">{words}</span>
          </div>
        ))}
    </fieldset>
  );
}

// The curves of a family, each with its places and what it was measured at.
export function CurveRows({ chart }: { chart: ChartStore }) {
  const views = chart.run.result?.curves ?? [];
  return (
    <>
      {chart.curves.map((curve, index) => (
        <CurveForm key={index} chart={chart} curve={curve} index={index} view={views[index]} />
      ))}
      <p class="buttons">
        <button type="button" aria-pressed={chart.tool === "curve"} onClick={() => chart.pick("curve")}>
          Mark curves by pressing
        </button>
        <button type="button" onClick={() => chart.addCurve()}>
          Add a curve
        </button>
      </p>
    </>
  );
}

interface CurveFormProps {
  chart: ChartStore;
  curve: Curve;
  index: number;
  view: CurveView | undefined;
}

function CurveForm({ chart, curve, index, view }: CurveFormProps) {
  const name = `curve ${index + 1}`;
  const tool = `place of curve ${index + 1}` as const;
  return (
    <fieldset class="axis">
      <legend>{name}</legend>
      <label class="wide">
        measured at
        <input
          type="text"
          autocomplete="off"
          aria-label={`${name} was measured at`}
          placeholder="forward_current = 5 mA"
          value={curve.measuredAt}
          onInput={(event) => chart.setCurve(index, { measuredAt: event.currentTarget.value })}
        />
      </label>
      {curve.seeds.map((seed, at) => (
        <div class="mark-row" key={at}>
          <SpotFields words={`place ${at + 1} of ${name}`} spot={seed} onSpot={(spot) => chart.setSeed(index, at, spot)} />
          <button type="button" aria-label={`Take place ${at + 1} of ${name} out`} onClick={() => chart.setSeed(index, at, null)}>
            ✕
          </button>
        </div>
      ))}
      <p class="buttons">
        <button type="button" aria-pressed={chart.tool === tool} onClick={() => chart.pick(tool)}>
          A further place of {name}
        </button>
      </p>
      {view?.refusal && (
        <p class="wide" role="note">
          <strong>Not read:</strong> {view.refusal}. {view.remedy && `To mend it: ${view.remedy}.`}
        </p>
      )}
    </fieldset>
  );
}

function SpotFields({ words, spot, onSpot }: { words: string; spot: Spot | null; onSpot: (spot: Spot) => void }) {
  const field = (axis: "x" | "y") => (
    <label>
      {axis}
      <input
        type="number"
        step="any"
        min={0}
        aria-label={`${axis} of ${words}`}
        value={spot ? String(spot[axis]) : ""}
        onChange={(event) => {
          const value = event.currentTarget.valueAsNumber;
          if (Number.isFinite(value)) onSpot({ ...(spot ?? { x: 0, y: 0 }), [axis]: value });
        }}
      />
    </label>
  );
  return (
    <>
      {field("x")}
      {field("y")}
    </>
  );
}
