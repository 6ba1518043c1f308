// The stage: one large drawing that fills the width, and whose parts are pressed in it.
import { useLayoutEffect, useRef, useState } from "preact/hooks";
import type { PartView } from "./contract";
import { Paper } from "./paper";

interface StageProps {
  svg: string;
  parts: PartView[];
  selected: string;
  stale: boolean;
  onSelect: (name: string, byKey: boolean) => void;
  onSwitch: (name: string, state: string) => void;
}

export function Stage({ svg, parts, selected, stale, onSelect, onSwitch }: StageProps) {
  const sheet = useRef<HTMLElement | null>(null);
  const held = useRef("");
  const [pointed, setPointed] = useState("");
  const labels = parts.map((part) => `${part.name}, ${part.value || part.title}`).join("\n");
  // Whoever stood on a part stands on it in the next drawing too.
  held.current = partOf(sheet.current?.contains(document.activeElement) ? document.activeElement : null) || held.current;
  useLayoutEffect(() => {
    for (const part of parts) {
      for (const pane of panesOf(sheet.current, part.name)) pane.setAttribute("aria-label", labelOf(part, pane));
    }
    for (const pane of sheet.current?.querySelectorAll(".pane") ?? []) {
      pane.classList.toggle("selected", partOf(pane) === selected);
      if (!pane.closest("[data-press]")) pane.setAttribute("aria-pressed", String(partOf(pane) === selected));
    }
  }, [svg, labels, selected]);
  return (
    <Paper
      svg={svg}
      label="Schematic"
      smallest={12}
      byItself={1.5}
      stale={stale}
      note={rangeOf(sheet.current, pointed || selected)}
      centre={(drawing) => ({ x: gapOf(drawing), y: 0 })}
      onDrawn={(drawing, on) => {
        const before = document.activeElement === document.body ? held.current : "";
        sheet.current = on;
        if (drawing) makePressable(drawing);
        if (before) panesOf(on, before)[0]?.focus({ preventScroll: true });
        held.current = "";
      }}
      onPress={(event, byKey) => {
        const group = (event.target as Element).closest("[data-part]");
        const name = partOf(group);
        if (!name) return false;
        const state = group?.getAttribute("data-press") ?? "";
        if (state && !stale) onSwitch(name, state);
        else onSelect(name, byKey);
        return true;
      }}
      onPoint={(at) => setPointed(partOf(at))}
    />
  );
}

// Where the gap stands, as a share of the drawing's width.
function gapOf(drawing: SVGSVGElement): number {
  const strip = drawing.querySelector("rect.gap");
  const { x, width } = drawing.viewBox.baseVal;
  return strip ? (Number(strip.getAttribute("x")) + Number(strip.getAttribute("width")) / 2 - x) / width : 0.5;
}

// A picture that holds buttons is a group, not an image: else they could not be reached.
function makePressable(drawing: SVGSVGElement): void {
  drawing.setAttribute("role", "group");
  drawing.setAttribute("aria-label", drawing.querySelector(":scope > title")?.textContent ?? "schematic");
  drawing.querySelector(":scope > title")?.remove(); // a tooltip over every part
  const seen = new Set<string>();
  for (const group of drawing.querySelectorAll<SVGGElement>("[data-part]")) {
    const name = partOf(group);
    const pane = paneOf(group);
    pane.setAttribute("role", "button");
    pane.setAttribute("tabindex", seen.has(name) ? "-1" : "0");
    if (seen.has(name)) pane.setAttribute("aria-hidden", "true"); // one button a part is enough to be told of
    pane.setAttribute("aria-label", name);
    seen.add(name);
    group.append(pane);
  }
}

// Symbols are thin lines: what is pressed is a clear pane over all of the part.
function paneOf(group: SVGGElement): SVGRectElement {
  const box = group.getBBox();
  const pane = document.createElementNS("http://www.w3.org/2000/svg", "rect");
  pane.setAttribute("class", "pane");
  pane.setAttribute("x", String(box.x - 5));
  pane.setAttribute("y", String(box.y - 4));
  pane.setAttribute("width", String(box.width + 10));
  pane.setAttribute("height", String(box.height + 8));
  return pane;
}

function labelOf(part: PartView, pane: Element): string {
  const group = pane.closest("[data-part]");
  const told = `${part.name}, ${part.value || part.title}`;
  const state = group?.getAttribute("data-press");
  return state ? `${told}: switch to state ${state}` : told;
}

// Name, value and flow of a part with the range over all specimens, as its drawing says them.
function rangeOf(drawn: HTMLElement | null, name: string): string {
  if (!name) return "";
  const groups = [...(drawn?.querySelectorAll("[data-part]") ?? [])].filter((group) => partOf(group) === name);
  const told = groups
    .map((group) => {
      const texts = [...group.querySelectorAll("text")].map((text) => text.textContent).filter((text) => text !== name);
      const range = group.getAttribute("data-range");
      return range ? `${texts.join(" · ")}, over all specimens ${range}` : texts.join(" · ");
    })
    .filter((words) => words);
  return told.length > 0 ? `${name}: ${told.join("; ")}` : "";
}

function partOf(element: Element | null): string {
  return element?.closest("[data-part]")?.getAttribute("data-part") ?? "";
}

function panesOf(frame: HTMLElement | null, name: string): SVGRectElement[] {
  const all = frame?.querySelectorAll<SVGRectElement>("[data-part] > .pane") ?? [];
  return [...all].filter((pane) => partOf(pane) === name);
}
