// The stage: one large drawing that fills the width. Its parts are pressed in it; it is enlarged
// and moved by wheel, fingers, keys and buttons, and never drawn so small that nobody can read it.
import { useEffect, useLayoutEffect, useRef, useState } from "preact/hooks";
import type { PartView } from "./contract";
import { put } from "./picture";

interface StageProps {
  svg: string;
  parts: PartView[];
  selected: string;
  stale: boolean;
  onSelect: (name: string, byKey: boolean) => void;
  onSwitch: (name: string, state: string) => void;
}

// Of the drawing's own size. Its smallest text is 12 px: no smaller than 11 unless asked for.
const least = 11 / 12;
const most = 4;
const byItself = 1.5; // a small drawing does not grow beyond that

export function Stage({ svg, parts, selected, stale, onSelect, onSwitch }: StageProps) {
  const frame = useRef<HTMLDivElement>(null);
  const drawn = useRef<HTMLDivElement>(null);
  const [chosen, setChosen] = useState<number | null>(null); // null: as large as the room
  const [pointed, setPointed] = useState("");
  const [room, setRoom] = useState({ width: 0, height: 0 });
  const [own, setOwn] = useState({ width: 1, height: 1 });
  const labels = parts.map((part) => `${part.name}, ${part.value || part.title}`).join("\n");

  useLayoutEffect(() => {
    const held = partOf(drawn.current?.contains(document.activeElement) ? document.activeElement : null);
    const drawing = put(drawn.current, svg);
    if (drawing) {
      makePressable(drawing);
      const { width, height } = drawing.viewBox.baseVal;
      setOwn((old) => (old.width === width && old.height === height ? old : { width, height }));
    }
    if (held) panesOf(drawn.current, held)[0]?.focus({ preventScroll: true });
  }, [svg]);
  useLayoutEffect(() => {
    for (const part of parts) {
      for (const pane of panesOf(drawn.current, part.name)) pane.setAttribute("aria-label", labelOf(part, pane));
    }
  }, [svg, labels]);
  useLayoutEffect(() => {
    for (const pane of drawn.current?.querySelectorAll(".pane") ?? []) {
      pane.setAttribute("aria-pressed", String(partOf(pane) === selected));
    }
  }, [svg, selected]);
  useLayoutEffect(() => {
    const measure = () => {
      const now = roomOf(frame.current);
      setRoom((old) => (old.width === now.width && old.height === now.height ? old : now));
    };
    measure();
    const watch = new ResizeObserver(measure);
    if (frame.current) watch.observe(frame.current);
    addEventListener("resize", measure);
    return () => {
      watch.disconnect();
      removeEventListener("resize", measure);
    };
  }, []);

  const whole = Math.min(room.width / own.width, room.height / own.height);
  const scale = chosen ?? Math.max(Math.min(whole, byItself), least);
  const [shown, sign] = usePosition(frame, drawn, scale, own, room);
  const enlarge = (by: number) => setChosen(Math.min(Math.max(scale * by, Math.min(whole, least)), most));
  useFingers(frame, scale, (next) => setChosen(Math.min(Math.max(next, Math.min(whole, least)), most)));

  const press = (event: Event, byKey: boolean) => {
    const group = (event.target as Element).closest("[data-part]");
    const name = partOf(group);
    if (!name) return false;
    const state = group?.getAttribute("data-press") ?? "";
    if (state && !stale) onSwitch(name, state);
    else onSelect(name, byKey);
    return true;
  };
  return (
    <div class={`stage ${sign}`}>
      <div
        class="scroll schematic"
        ref={frame}
        tabIndex={0}
        role="group"
        aria-label="Schematic"
        aria-keyshortcuts="+ - 0"
        onScroll={shown}
        onKeyDown={(event) => {
          if ((event.key === "Enter" || event.key === " ") && press(event, true)) return event.preventDefault();
          if (event.ctrlKey || event.metaKey || event.altKey) return;
          if (event.key === "+" || event.key === "=") enlarge(1.25);
          else if (event.key === "-") enlarge(0.8);
          else if (event.key === "0") setChosen(null);
          else return;
          event.preventDefault();
        }}
      >
        <div
          class={stale ? "drawn stale" : "drawn"}
          ref={drawn}
          onClick={(event) => press(event, false)}
          onPointerOver={(event) => setPointed(partOf(event.target as Element))}
          onPointerLeave={() => setPointed("")}
        />
      </div>
      <p class="pointed" aria-hidden="true">
        {rangeOf(drawn.current, pointed || selected) || (sign.includes("more") ? "There is more of the drawing: move it, or press Whole." : " ")}
      </p>
      <div class="sizes" role="group" aria-label="Size of the drawing">
        <button type="button" aria-label="Smaller" onClick={() => enlarge(0.8)}>
          −
        </button>
        <button type="button" aria-label="Larger" onClick={() => enlarge(1.25)}>
          +
        </button>
        <button type="button" onClick={() => setChosen(chosen === null && whole < least ? whole : null)}>
          {chosen === null && whole < least ? "Whole" : "Fit"}
        </button>
      </div>
    </div>
  );
}

// The room that a drawing has: the width of its frame, and so much of the window's height that
// what is said of it stays in sight.
function roomOf(frame: HTMLElement | null): { width: number; height: number } {
  if (!frame) return { width: 0, height: 0 };
  const style = getComputedStyle(frame);
  const limit = parseFloat(style.maxHeight);
  const sides = parseFloat(style.paddingLeft) + parseFloat(style.paddingRight);
  const ends = parseFloat(style.paddingTop) + parseFloat(style.paddingBottom);
  // Of the outside: with or without its bars it is the same.
  return { width: frame.offsetWidth - sides, height: (Number.isFinite(limit) ? limit : innerHeight) - ends };
}

// Sets the size; keeps the middle in the middle, and begins at the gap. Tells on which sides there
// is more than fits.
function usePosition(
  frame: { current: HTMLDivElement | null },
  drawn: { current: HTMLDivElement | null },
  scale: number,
  own: { width: number; height: number },
  room: { width: number; height: number },
): [() => void, string] {
  const middle = useRef<{ x: number; y: number } | null>(null);
  const [sign, setSign] = useState("");
  const look = () => {
    const at = frame.current;
    if (!at) return;
    middle.current = { x: (at.scrollLeft + at.clientWidth / 2) / at.scrollWidth, y: (at.scrollTop + at.clientHeight / 2) / at.scrollHeight };
    const sides = [
      at.scrollLeft > 2 && "more-left",
      at.scrollLeft + at.clientWidth < at.scrollWidth - 2 && "more-right",
      at.scrollTop + at.clientHeight < at.scrollHeight - 2 && "more-below",
    ];
    setSign(sides.filter(Boolean).join(" "));
  };
  useLayoutEffect(() => {
    const at = frame.current;
    const drawing = drawn.current?.querySelector("svg");
    if (!at || !drawing || room.width === 0) return;
    at.style.overflow = scale <= Math.min(room.width / own.width, room.height / own.height) + 1e-6 ? "hidden" : "auto";
    drawing.style.width = `${own.width * scale}px`;
    drawing.style.height = `${own.height * scale}px`;
    const centre = middle.current ?? { x: gapOf(drawing), y: 0 };
    at.scrollLeft = centre.x * at.scrollWidth - at.clientWidth / 2;
    at.scrollTop = centre.y * at.scrollHeight - at.clientHeight / 2;
    look();
  }, [scale, own, room]);
  return [look, sign];
}

// Where the gap stands, as a share of the drawing's width.
function gapOf(drawing: SVGSVGElement): number {
  const strip = drawing.querySelector("rect.gap");
  const { x, width } = drawing.viewBox.baseVal;
  return strip ? (Number(strip.getAttribute("x")) + Number(strip.getAttribute("width")) / 2 - x) / width : 0.5;
}

// Ctrl and the wheel, or two fingers, change the size; a mouse that holds the paper moves it.
function useFingers(frame: { current: HTMLDivElement | null }, scale: number, onScale: (scale: number) => void): void {
  const now = useRef({ scale, onScale });
  now.current = { scale, onScale };
  useEffect(() => {
    const at = frame.current;
    if (!at) return;
    const fingers = new Map<number, PointerEvent>();
    let apart = 0;
    const distance = () => {
      const [a, b] = [...fingers.values()];
      return a && b ? Math.hypot(a.clientX - b.clientX, a.clientY - b.clientY) : 0;
    };
    const wheel = (event: WheelEvent) => {
      if (!event.ctrlKey) return;
      event.preventDefault();
      now.current.onScale(now.current.scale * Math.exp(-event.deltaY / 300));
    };
    const down = (event: PointerEvent) => {
      fingers.set(event.pointerId, event);
      apart = distance() / now.current.scale;
    };
    const move = (event: PointerEvent) => {
      const before = fingers.get(event.pointerId);
      if (!before) return;
      fingers.set(event.pointerId, event);
      if (fingers.size === 2 && apart > 0) return now.current.onScale(distance() / apart);
      if (event.pointerType !== "mouse" || (event.target as Element).closest(".pane")) return;
      at.scrollLeft -= event.clientX - before.clientX;
      at.scrollTop -= event.clientY - before.clientY;
    };
    const up = (event: PointerEvent) => void fingers.delete(event.pointerId);
    at.addEventListener("wheel", wheel, { passive: false });
    at.addEventListener("pointerdown", down);
    at.addEventListener("pointermove", move);
    for (const name of ["pointerup", "pointercancel", "pointerleave"] as const) at.addEventListener(name, up);
    return () => {
      at.removeEventListener("wheel", wheel);
      at.removeEventListener("pointerdown", down);
      at.removeEventListener("pointermove", move);
      for (const name of ["pointerup", "pointercancel", "pointerleave"] as const) at.removeEventListener(name, up);
    };
  }, []);
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
  return groups
    .map((group) => {
      const words = [...group.querySelectorAll("text")].map((text) => text.textContent).join(" · ");
      const range = group.getAttribute("data-range");
      return range ? `${words}, over all specimens ${range}` : words;
    })
    .join("; ");
}

function partOf(element: Element | null): string {
  return element?.closest("[data-part]")?.getAttribute("data-part") ?? "";
}

function panesOf(frame: HTMLElement | null, name: string): SVGRectElement[] {
  const all = frame?.querySelectorAll<SVGRectElement>("[data-part] > .pane") ?? [];
  return [...all].filter((pane) => partOf(pane) === name);
}
