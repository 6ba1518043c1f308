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
    if (held) groupOf(frame.current, held)?.focus({ preventScroll: true });
  }, [svg]);
  useLayoutEffect(() => {
    for (const part of parts) {
      for (const group of groupsOf(frame.current, part.name)) {
        group.setAttribute("aria-label", `${part.name}, ${part.value || part.title}`);
      }
    }
  }, [svg, labels]);
  useLayoutEffect(() => {
    for (const group of frame.current?.querySelectorAll("[data-part]") ?? []) {
      const chosen = partOf(group) === selected;
      group.classList.toggle("selected", chosen);
      group.setAttribute("aria-pressed", String(chosen));
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
    group.setAttribute("role", "button");
    group.setAttribute("tabindex", seen.has(name) ? "-1" : "0");
    group.setAttribute("aria-label", name);
    seen.add(name);
    group.prepend(groundOf(group));
  }
}

// Symbols are thin lines: what is pressed is the ground they stand on.
function groundOf(group: SVGGElement): SVGRectElement {
  const box = group.getBBox();
  const ground = document.createElementNS("http://www.w3.org/2000/svg", "rect");
  ground.setAttribute("class", "ground");
  ground.setAttribute("x", String(box.x - 5));
  ground.setAttribute("y", String(box.y - 4));
  ground.setAttribute("width", String(box.width + 10));
  ground.setAttribute("height", String(box.height + 8));
  return ground;
}

function partOf(element: Element | null): string {
  return element?.closest("[data-part]")?.getAttribute("data-part") ?? "";
}

function groupsOf(frame: HTMLElement | null, name: string): SVGGElement[] {
  const all = frame?.querySelectorAll<SVGGElement>("[data-part]") ?? [];
  return [...all].filter((group) => partOf(group) === name);
}

function groupOf(frame: HTMLElement | null, name: string): SVGGElement | undefined {
  return groupsOf(frame, name)[0];
}
