// The chart's picture with the marks drawn over it; a press sets a mark, under a magnifier.
import { useState } from "preact/hooks";
import type { ChartStore, Spot } from "../chart_store";

interface Size {
  width: number;
  height: number;
}

// Where the pointer is: on the picture, and in the box that the picture is shown in.
interface Hover {
  spot: Spot;
  left: number;
  top: number;
  shown: number; // px on the screen for one of the picture
  box: Size;
}

export function ChartPicture({ chart, name }: { chart: ChartStore; name: string }) {
  const [size, setSize] = useState<Size>({ width: 0, height: 0 });
  const [hover, setHover] = useState<Hover | null>(null);
  const unit = Math.max(size.width, size.height) / 100; // marks look alike on pictures of any size
  const source = `/api/charts/${encodeURIComponent(chart.id)}`;
  const follow = (event: PointerEvent) => setHover(size.width > 0 ? hoverOf(event, size) : null);
  return (
    <div class="scroll chart-scroll" tabIndex={0} role="group" aria-label={`Chart ${name}; a press marks ${chart.words}`}>
      <div
        class="chart"
        onPointerMove={follow}
        onPointerDown={follow}
        onPointerLeave={() => setHover(null)}
        onClick={(event) => size.width > 0 && chart.press(hoverOf(event, size).spot)}
      >
        <img
          src={source}
          alt={`The chart ${name}`}
          draggable={false}
          onLoad={(event) => setSize({ width: event.currentTarget.naturalWidth, height: event.currentTarget.naturalHeight })}
        />
        {size.width > 0 && (
          <svg class="overlay" viewBox={`0 0 ${size.width} ${size.height}`} aria-hidden="true">
            {curvesOf(chart, unit)}
            {marksOf(chart).map((mark) => (
              <MarkSign key={mark.words} {...mark} unit={unit} left={mark.spot.x > 0.7 * size.width} />
            ))}
            {takenOf(chart, unit)}
            {chart.curves.flatMap((curve, index) =>
              curve.seeds.map((seed, at) => (
                <g key={`${index} ${at}`} class="seed">
                  <circle cx={seed.x} cy={seed.y} r={1.1 * unit} stroke-width={0.9 * unit} class="halo" />
                  <circle cx={seed.x} cy={seed.y} r={1.1 * unit} stroke-width={0.35 * unit} />
                  {chart.curves.length > 1 && (
                    <text x={seed.x + 1.5 * unit} y={seed.y - 1.2 * unit} font-size={2.4 * unit} stroke-width={0.7 * unit}>
                      {index + 1}
                    </text>
                  )}
                </g>
              )),
            )}
          </svg>
        )}
        {hover && <Magnifier source={source} hover={hover} size={size} />}
      </div>
    </div>
  );
}

// A part of the picture, enlarged, with a cross at the very pixel: beside the pointer, not below it.
function Magnifier({ source, hover, size }: { source: string; hover: Hover; size: Size }) {
  const side = 148; // px on the screen, as the style has it
  const zoom = Math.max(3, 3 * hover.shown);
  const away = 24;
  const left = hover.left + away + side < hover.box.width ? hover.left + away : hover.left - away - side;
  const top = hover.top - away - side > 0 ? hover.top - away - side : hover.top + away;
  const inside = {
    width: `${size.width * zoom}px`,
    height: `${size.height * zoom}px`,
    left: `${side / 2 - (hover.spot.x + 0.5) * zoom}px`,
    top: `${side / 2 - (hover.spot.y + 0.5) * zoom}px`,
  };
  return (
    <div class="magnifier" aria-hidden="true" style={{ left: `${left}px`, top: `${top}px` }}>
      <img src={source} alt="" draggable={false} style={inside} />
    </div>
  );
}

interface Sign {
  spot: Spot;
  words: string;
  value: string;
  under: boolean; // where its words stand
}

function marksOf(chart: ChartStore): Sign[] {
  const value = (tool: string) => (chart.atAngle ? "" : chart.markOf(tool as "x1").value);
  return chart.spots.flatMap(({ tool, spot }) => (spot ? [{ spot, words: tool, value: value(tool), under: tool.startsWith("x") }] : []));
}

function MarkSign({ spot, words, value, unit, under, left }: Sign & { unit: number; left: boolean }) {
  const { x, y } = spot;
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
        {value ? `${words}: ${value}` : words}
      </text>
    </g>
  );
}

// Where the marks were taken to be when the curves were read: on the line beside them.
function takenOf(chart: ChartStore, unit: number) {
  return (chart.run.result?.marks ?? []).map((mark, at) => (
    <rect
      key={at}
      class="taken"
      x={mark.x - 0.7 * unit}
      y={mark.y - 0.7 * unit}
      width={1.4 * unit}
      height={1.4 * unit}
      stroke-width={0.25 * unit}
    />
  ));
}

function curvesOf(chart: ChartStore, unit: number) {
  return (chart.run.result?.curves ?? []).map((curve) => {
    if (curve.points.length < 2) return null;
    const points = curve.points.map((point) => `${point.x},${point.y}`).join(" ");
    return (
      <g key={curve.number}>
        <polyline points={points} class="halo" stroke-width={unit} />
        <polyline points={points} stroke-width={0.4 * unit} />
      </g>
    );
  });
}

// Pixels of the picture, whatever size it is shown in.
function hoverOf(event: MouseEvent, size: Size): Hover {
  const element = event.currentTarget as HTMLElement;
  const box = (element.querySelector("img") ?? element).getBoundingClientRect();
  const left = event.clientX - box.left;
  const top = event.clientY - box.top;
  return {
    spot: { x: tenth((left / box.width) * size.width), y: tenth((top / box.height) * size.height) },
    left,
    top,
    shown: box.width / size.width,
    box: { width: box.width, height: box.height },
  };
}

function tenth(value: number): number {
  return Math.round(value * 10) / 10;
}
