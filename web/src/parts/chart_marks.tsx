// The marks as figures: the same as by pressing, for the keyboard and for exactness.
import type { Axis, ChartStore, Mark, Spot, Tool } from "../chart_store";

type MarkTool = Exclude<Tool, "seed">;

interface AxisFormProps {
  chart: ChartStore;
  axis: "x" | "y";
  quantities: string[];
  quantity: string;
}

export function AxisForm({ chart, axis, quantities, quantity }: AxisFormProps) {
  const state: Axis = chart[axis];
  return (
    <fieldset class="axis">
      <legend>{axis} axis</legend>
      <label>
        quantity
        <select
          aria-label={`quantity of ${axis}`}
          value={quantity}
          onChange={(event) => chart.setAxis(axis, { quantity: event.currentTarget.value })}
        >
          {quantities.map((word) => (
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
      <MarkRow chart={chart} tool={`${axis}1`} words={`${axis} mark 1`} mark={state.marks[0]} />
      <MarkRow chart={chart} tool={`${axis}2`} words={`${axis} mark 2`} mark={state.marks[1]} />
    </fieldset>
  );
}

function MarkRow({ chart, tool, words, mark }: { chart: ChartStore; tool: MarkTool; words: string; mark: Mark }) {
  return (
    <div class="mark-row">
      <button type="button" aria-label={`${tool} on the picture`} aria-pressed={chart.tool === tool} onClick={() => chart.pick(tool)}>
        {tool}
      </button>
      <SpotFields words={words} spot={mark.spot} onSpot={(spot) => chart.setMark(tool, { spot })} />
      <label>
        value
        <input
          type="text"
          autocomplete="off"
          aria-label={`value at ${words}`}
          placeholder={tool.startsWith("x") ? "0.9 V" : "100 mA"}
          value={mark.value}
          onInput={(event) => chart.setMark(tool, { value: event.currentTarget.value })}
        />
      </label>
    </div>
  );
}

export function SeedRows({ chart }: { chart: ChartStore }) {
  return (
    <fieldset class="axis">
      <legend>places on the curve</legend>
      {chart.seeds.map((seed, index) => (
        <div class="mark-row" key={index}>
          <SpotFields words={`place ${index + 1}`} spot={seed} onSpot={(spot) => spot && chart.setSeed(index, spot)} />
          <button type="button" aria-label={`Take place ${index + 1} out`} onClick={() => chart.setSeed(index, null)}>
            ✕
          </button>
        </div>
      ))}
      <p class="buttons">
        <button type="button" aria-pressed={chart.tool === "seed"} onClick={() => chart.pick("seed")}>
          Mark by pressing
        </button>
        <button type="button" onClick={() => chart.addSeed()}>
          Add a place
        </button>
      </p>
    </fieldset>
  );
}

function SpotFields({ words, spot, onSpot }: { words: string; spot: Spot | null; onSpot: (spot: Spot | null) => void }) {
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
