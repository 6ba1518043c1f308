// Marks on a chart's picture, and what was read with them. They outlive the screen.
import type { AxisMarks, TraceView } from "./contract";
import { settingsOf } from "./fit_draft";
import { runOf, type Run } from "./jobs";
import { Store } from "./store";

export interface Spot {
  x: number;
  y: number;
}

export interface Mark {
  spot: Spot | null;
  value: string;
}

export interface Axis {
  quantity: string;
  logarithmic: boolean;
  marks: [Mark, Mark];
}

export type Tool = "x1" | "x2" | "y1" | "y2" | "seed";

export const tools: [Tool, string][] = [
  ["x1", "first mark of the x axis"],
  ["x2", "second mark of the x axis"],
  ["y1", "first mark of the y axis"],
  ["y2", "second mark of the y axis"],
  ["seed", "a place on the curve"],
];

export class ChartStore extends Store {
  tool: Tool = "x1";
  x: Axis = blankAxis();
  y: Axis = blankAxis();
  seeds: Spot[] = [];
  measuredAt = "";
  readonly run: Run<TraceView>;

  constructor(readonly id: string) {
    super();
    this.run = runOf(`trace/${id}`);
    this.run.listen(() => this.changed());
  }

  pick(tool: Tool): void {
    this.tool = tool;
    this.changed();
  }

  // A press on the picture: sets what is being marked, and goes on to the next.
  press(spot: Spot): void {
    if (this.tool === "seed") this.seeds = [...this.seeds, spot];
    else {
      this.markOf(this.tool).spot = spot;
      const next = tools[tools.findIndex(([tool]) => tool === this.tool) + 1];
      if (next && !(next[0] !== "seed" && this.markOf(next[0]).spot)) this.tool = next[0];
    }
    this.changed();
  }

  markOf(tool: Exclude<Tool, "seed">): Mark {
    const axis = tool.startsWith("x") ? this.x : this.y;
    return axis.marks[tool.endsWith("1") ? 0 : 1];
  }

  setAxis(name: "x" | "y", part: Partial<Axis>): void {
    this[name] = { ...this[name], ...part };
    this.changed();
  }

  setMark(tool: Exclude<Tool, "seed">, part: Partial<Mark>): void {
    Object.assign(this.markOf(tool), part);
    this.changed();
  }

  setSeed(index: number, spot: Spot | null): void {
    if (spot) this.seeds = this.seeds.map((seed, at) => (at === index ? spot : seed));
    else this.seeds = this.seeds.filter((_, at) => at !== index);
    this.changed();
  }

  addSeed(): void {
    this.seeds = [...this.seeds, { x: 0, y: 0 }];
    this.changed();
  }

  setMeasuredAt(text: string): void {
    this.measuredAt = text;
    this.changed();
  }

  get missing(): string {
    const open = tools.find(([tool]) => tool !== "seed" && !this.markOf(tool).spot);
    if (open) return `Still to be marked: ${open[1]}.`;
    const silent = tools.find(([tool]) => tool !== "seed" && !this.markOf(tool).value.trim());
    if (silent) return `Still to be typed: the value at the ${silent[1]}.`;
    return this.seeds.length === 0 ? "Still to be marked: a place on the curve." : "";
  }

  read(quantities: { x: string; y: string }): void {
    const x = marksOf(this.x, quantities.x);
    const y = marksOf(this.y, quantities.y);
    if (!x || !y) return;
    const trace = { x, y, seeds: this.seeds, settings: settingsOf(this.measuredAt) };
    void this.run.start({ work: "trace", chart: this.id, trace });
  }
}

function marksOf(axis: Axis, quantity: string): AxisMarks | null {
  const [first, second] = axis.marks;
  if (!first.spot || !second.spot) return null;
  return {
    quantity,
    first: { ...first.spot, value: first.value.trim() },
    second: { ...second.spot, value: second.value.trim() },
    logarithmic: axis.logarithmic,
  };
}

function blankAxis(): Axis {
  return {
    quantity: "",
    logarithmic: false,
    marks: [
      { spot: null, value: "" },
      { spot: null, value: "" },
    ],
  };
}

const charts = new Map<string, ChartStore>();

export function chartOf(id: string): ChartStore {
  let chart = charts.get(id);
  if (!chart) charts.set(id, (chart = new ChartStore(id)));
  return chart;
}
