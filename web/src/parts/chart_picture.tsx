// The chart's picture with the marks drawn over it; a press sets a mark.
import { useState } from "preact/hooks";
import type { ChartStore, Mark, Spot } from "../chart_store";
import { tools } from "../chart_store";

export function ChartPicture({ chart, name }: { chart: ChartStore; name: string }) {
  const [size, setSize] = useState({ width: 0, height: 0 });
  const unit = Math.max(size.width, size.height) / 100; // marks look alike on pictures of any size
  const words = tools.find(([tool]) => tool === chart.tool)?.[1] ?? "";
  return (
    <div class="scroll chart-scroll" tabIndex={0} role="group" aria-label={`Chart ${name}; a press marks ${words}`}>
      <div class="chart" onPointerDown={(event) => event.button === 0 && size.width > 0 && chart.press(spotOf(event, size))}>
        <img
          src={`/api/charts/${encodeURIComponent(chart.id)}`}
          alt={`The chart ${name}`}
          draggable={false}
          onLoad={(event) => setSize({ width: event.currentTarget.naturalWidth, height: event.currentTarget.naturalHeight })}
        />
        {size.width > 0 && (
          <svg class="overlay" viewBox={`0 0 ${size.width} ${size.height}`} aria-hidden="true">
            {curveOf(chart, unit)}
            {(["x", "y"] as const).map((axis) =>
              chart[axis].marks.map((mark, index) => (
                <MarkSign
                  key={`${axis}${index}`}
                  mark={mark}
                  words={`${axis}${index + 1}`}
                  unit={unit}
                  under={axis === "x"}
                  left={(mark.spot?.x ?? 0) > 0.7 * size.width}
                />
              )),
            )}
            {chart.seeds.map((seed, index) => (
              <g key={index} class="seed">
                <circle cx={seed.x} cy={seed.y} r={1.1 * unit} stroke-width={0.9 * unit} class="halo" />
                <circle cx={seed.x} cy={seed.y} r={1.1 * unit} stroke-width={0.35 * unit} />
              </g>
            ))}
          </svg>
        )}
      </div>
    </div>
  );
}

interface MarkSignProps {
  mark: Mark;
  words: string;
  unit: number;
  under: boolean; // where its words stand
  left: boolean;
}

function MarkSign({ mark, words, unit, under, left }: MarkSignProps) {
  if (!mark.spot) return null;
  const { x, y } = mark.spot;
  const path = `M${x - 2 * unit} ${y}H${x + 2 * unit}M${x} ${y - 2 * unit}V${y + 2 * unit}`;
  return (
    <g>
      <path d={path} class="halo" stroke-width={0.9 * unit} />
      <path d={path} stroke-width={0.35 * unit} />
      <text
        x={left ? x - unit : x + unit}
        y={under ? y + 3.2 * unit : y - unit}
        text-anchor={left ? "end" : "start"}
        font-size={2.6 * unit}
        stroke-width={0.7 * unit}
      >
        {mark.value ? `${words}: ${mark.value}` : words}
      </text>
    </g>
  );
}

function curveOf(chart: ChartStore, unit: number) {
  const curve = chart.run.result?.curve ?? [];
  if (curve.length < 2) return null;
  const points = curve.map((point) => `${point.x},${point.y}`).join(" ");
  return (
    <g>
      <polyline points={points} class="halo" stroke-width={unit} />
      <polyline points={points} stroke-width={0.4 * unit} />
    </g>
  );
}

// Pixels of the picture, whatever size it is shown in.
function spotOf(event: PointerEvent, size: { width: number; height: number }): Spot {
  const picture = (event.currentTarget as HTMLElement).querySelector("img");
  const box = (picture ?? (event.currentTarget as HTMLElement)).getBoundingClientRect();
  return {
    x: tenth(((event.clientX - box.left) / box.width) * size.width),
    y: tenth(((event.clientY - box.top) / box.height) * size.height),
  };
}

function tenth(value: number): number {
  return Math.round(value * 10) / 10;
}
