// Marks on a chart's picture, and what was read with them. They outlive the screen.
import type { ChartAxis, ChartMark, TraceView } from "./contract";
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

export interface Curve {
  seeds: Spot[];
  measuredAt: string;
}

export type MarkTool = "x1" | "x2" | "y1" | "y2";
export type CornerTool = "c1" | "c2" | "c3" | "c4";
// What a press on the picture does: sets a mark, begins a curve, or adds a place to one of them.
export type Tool = MarkTool | CornerTool | "curve" | `place of curve ${number}`;

export const markTools: [MarkTool, string][] = [
  ["x1", "first mark of the x axis"],
  ["x2", "second mark of the x axis"],
  ["y1", "first mark of the y axis"],
  ["y2", "second mark of the y axis"],
];

// Where the lines of the axes' marked values cross.
export const cornerTools: [CornerTool, string, MarkTool, MarkTool][] = [
  ["c1", "corner at x1 and y1", "x1", "y1"],
  ["c2", "corner at x2 and y1", "x2", "y1"],
  ["c3", "corner at x2 and y2", "x2", "y2"],
  ["c4", "corner at x1 and y2", "x1", "y2"],
];

export class ChartStore extends Store {
  tool: Tool = "x1";
  x: Axis = blankAxis();
  y: Axis = blankAxis();
  atAngle = false; // taken at an angle: four corners are marked in place of two places an axis
  corners: (Spot | null)[] = [null, null, null, null];
  curves: Curve[] = [];
  measuredAt = "";
  quantities: string[] = []; // that axes may have; the first two stand where none is chosen
  readonly run: Run<TraceView>;

  constructor(readonly id: string) {
    super();
    this.run = runOf(`trace/${id}`);
    this.run.listen(() => this.changed());
  }

  quantityOf(axis: "x" | "y"): string {
    return this[axis].quantity || this.quantities[axis === "x" ? 0 : 1] || "";
  }

  pick(tool: Tool): void {
    this.tool = tool;
    this.changed();
  }

  get words(): string {
    if (this.tool === "curve") return "a place on a further curve";
    if (this.tool.startsWith("place")) return `a further ${this.tool}`;
    return this.spots.find(({ tool }) => tool === this.tool)?.words ?? "";
  }

  // What is to be marked on the picture, and where it was.
  get spots(): { tool: MarkTool | CornerTool; words: string; spot: Spot | null }[] {
    if (this.atAngle) return cornerTools.map(([tool, words], at) => ({ tool, words, spot: this.corners[at] ?? null }));
    return markTools.map(([tool, words]) => ({ tool, words, spot: this.markOf(tool).spot }));
  }

  // A press on the picture: sets what is being marked, and goes on to the next. Once nothing is
  // missing, the curves are read at once.
  press(spot: Spot): void {
    const place = /^place of curve (\d+)$/.exec(this.tool);
    const curve = place ? this.curves[Number(place[1]) - 1] : undefined;
    if (this.tool === "curve") this.curves = [...this.curves, { seeds: [spot], measuredAt: "" }];
    else if (curve) {
      curve.seeds = [...curve.seeds, spot];
      this.tool = "curve";
    } else {
      this.setSpot(this.tool as MarkTool | CornerTool, spot);
      this.tool = this.spots.find((other) => !other.spot)?.tool ?? "curve";
    }
    this.changed();
    if (!this.missing) this.read();
  }

  setSpot(tool: MarkTool | CornerTool, spot: Spot): void {
    const corner = cornerTools.findIndex(([other]) => other === tool);
    if (corner >= 0) this.corners = this.corners.map((old, at) => (at === corner ? spot : old));
    else this.markOf(tool as MarkTool).spot = spot;
    this.changed();
  }

  markOf(tool: MarkTool): Mark {
    const axis = tool.startsWith("x") ? this.x : this.y;
    return axis.marks[tool.endsWith("1") ? 0 : 1];
  }

  setAxis(name: "x" | "y", part: Partial<Axis>): void {
    this[name] = { ...this[name], ...part };
    this.changed();
  }

  setValue(tool: MarkTool, value: string): void {
    this.markOf(tool).value = value;
    this.changed();
  }

  setAtAngle(atAngle: boolean): void {
    this.atAngle = atAngle;
    this.tool = this.spots.find((spot) => !spot.spot)?.tool ?? "curve";
    this.changed();
  }

  setSeed(curve: number, index: number, spot: Spot | null): void {
    const seeds = this.curves[curve]?.seeds ?? [];
    const kept = spot ? seeds.map((seed, at) => (at === index ? spot : seed)) : seeds.filter((_, at) => at !== index);
    if (kept.length === 0) this.dropCurve(curve);
    else this.setCurve(curve, { seeds: kept });
  }

  setCurve(curve: number, part: Partial<Curve>): void {
    this.curves = this.curves.map((old, at) => (at === curve ? { ...old, ...part } : old));
    this.changed();
  }

  addCurve(): void {
    this.curves = [...this.curves, { seeds: [{ x: 0, y: 0 }], measuredAt: "" }];
    this.changed();
  }

  dropCurve(curve: number): void {
    this.curves = this.curves.filter((_, at) => at !== curve);
    this.tool = "curve";
    this.changed();
  }

  setMeasuredAt(text: string): void {
    this.measuredAt = text;
    this.changed();
  }

  get missing(): string {
    const open = this.spots.find(({ spot }) => !spot);
    if (open) return `Still to be marked: ${open.words}.`;
    const silent = markTools.find(([tool]) => !this.markOf(tool).value.trim());
    if (silent) return `Still to be typed: the value at the ${silent[1]}.`;
    return this.curves.length === 0 ? "Still to be marked: a place on each curve." : "";
  }

  read(): void {
    if (this.missing) return;
    const trace = {
      x: axisOf(this.x, this.quantityOf("x")),
      y: axisOf(this.y, this.quantityOf("y")),
      marks: this.marks,
      curves: this.curves.map((curve) => ({ seeds: curve.seeds, settings: settingsOf(curve.measuredAt) })),
      settings: settingsOf(this.measuredAt),
    };
    void this.run.start({ work: "trace", chart: this.id, trace });
  }

  private get marks(): ChartMark[] {
    const value = (tool: MarkTool) => this.markOf(tool).value.trim();
    if (this.atAngle) {
      return cornerTools.map(([, , x, y], at) => ({ ...(this.corners[at] ?? { x: 0, y: 0 }), x_value: value(x), y_value: value(y) }));
    }
    return markTools.map(([tool]) => ({
      ...(this.markOf(tool).spot ?? { x: 0, y: 0 }),
      x_value: tool.startsWith("x") ? value(tool) : "",
      y_value: tool.startsWith("y") ? value(tool) : "",
    }));
  }
}

function axisOf(axis: Axis, quantity: string): ChartAxis {
  return { quantity, logarithmic: axis.logarithmic };
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
