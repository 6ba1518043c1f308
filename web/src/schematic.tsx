// The schematic: a picture whose parts can be pressed, by pointer and by keyboard.
import { useLayoutEffect, useRef } from "preact/hooks";
import type { PartView } from "./contract";
import { put } from "./picture";

interface SchematicProps {
  svg: string;
  parts: PartView[];
  selected: string;
  stale: boolean;
  onSelect: (name: string) => void;
}

export function Schematic({ svg, parts, selected, stale, onSelect }: SchematicProps) {
  const frame = useRef<HTMLDivElement>(null);
  const labels = parts.map((part) => `${part.name}, ${part.value || part.title}`).join("\n");
  useLayoutEffect(() => {
    const held = partOf(frame.current?.contains(document.activeElement) ? document.activeElement : null);
    const drawing = put(frame.current, svg);
    if (drawing) makePressable(drawing);
    drawing?.style.setProperty("--drawn", `${drawing.viewBox.baseVal.width}px`); // smaller than so much of it nobody can read
    if (held) panesOf(frame.current, held)[0]?.focus({ preventScroll: true });
  }, [svg]);
  useLayoutEffect(() => {
    for (const part of parts) {
      for (const pane of panesOf(frame.current, part.name)) {
        pane.setAttribute("aria-label", `${part.name}, ${part.value || part.title}`);
      }
    }
  }, [svg, labels]);
  useLayoutEffect(() => {
    for (const pane of frame.current?.querySelectorAll(".pane") ?? []) {
      pane.setAttribute("aria-pressed", String(partOf(pane) === selected));
    }
  }, [svg, selected]);
  const press = (event: Event) => {
    const name = partOf(event.target as Element);
    if (name) onSelect(name);
    return name;
  };
  return (
    <div class="scroll schematic" tabIndex={0} role="group" aria-label="Schematic">
      <div
        class={stale ? "drawn stale" : "drawn"}
        ref={frame}
        onClick={press}
        onKeyDown={(event) => {
          if ((event.key === "Enter" || event.key === " ") && press(event)) event.preventDefault();
        }}
      />
    </div>
  );
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

function partOf(element: Element | null): string {
  return element?.closest("[data-part]")?.getAttribute("data-part") ?? "";
}

function panesOf(frame: HTMLElement | null, name: string): SVGRectElement[] {
  const all = frame?.querySelectorAll<SVGRectElement>("[data-part] > .pane") ?? [];
  return [...all].filter((pane) => partOf(pane) === name);
}
