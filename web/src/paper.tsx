// A drawing on its own sheet: enlarged and moved by wheel, fingers, keys and buttons, and never
// drawn so small that nobody can read it, unless all of it is asked for.
import { useEffect, useLayoutEffect, useRef, useState } from "preact/hooks";
import { put } from "./picture";
import { keepRulers } from "./rulers";

export interface PaperProps {
  svg: string;
  label: string;
  smallest: number; // px: the drawing's smallest text in its own size
  byItself: number; // a small drawing grows by so much at most
  stale?: boolean;
  note?: string; // what is said beneath; else how to see the rest, where there is some
  centre: (drawing: SVGSVGElement) => { x: number; y: number }; // where to begin, as shares
  onDrawn?: (drawing: SVGSVGElement | null, sheet: HTMLElement | null) => void;
  onPress?: (event: Event, byKey: boolean) => boolean; // whether something was pressed
  onPoint?: (at: Element | null) => void;
}

const readable = 11; // px
const most = 4;

export function Paper({ svg, label, smallest, byItself, stale, note, centre, onDrawn, onPress, onPoint }: PaperProps) {
  const frame = useRef<HTMLDivElement>(null);
  const drawn = useRef<HTMLDivElement>(null);
  const [chosen, setChosen] = useState<number | null>(null); // null: as large as the room
  const [room, setRoom] = useState({ width: 0, height: 0 });
  const [own, setOwn] = useState({ width: 1, height: 1 });
  useLayoutEffect(() => {
    const drawing = put(drawn.current, svg);
    if (drawing) {
      const { width, height } = drawing.viewBox.baseVal;
      setOwn((old) => (old.width === width && old.height === height ? old : { width, height }));
    }
    onDrawn?.(drawing, drawn.current);
  }, [svg]);
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

  const least = readable / smallest;
  const whole = Math.min(room.width / own.width, room.height / own.height);
  const scale = chosen ?? Math.max(Math.min(whole, byItself), least);
  const set = (wanted: number) => setChosen(Math.min(Math.max(wanted, Math.min(whole, least)), most));
  const [moved, sign] = usePosition(frame, drawn, scale, own, room, svg, centre);
  useFingers(frame, scale, set);
  return (
    <div class={`stage ${sign}`}>
      <div
        class="scroll sheet-of"
        ref={frame}
        tabIndex={0}
        role="group"
        aria-label={label}
        aria-keyshortcuts="+ - 0"
        onScroll={moved}
        onKeyDown={(event) => {
          if ((event.key === "Enter" || event.key === " ") && onPress?.(event, true)) return event.preventDefault();
          if (event.ctrlKey || event.metaKey || event.altKey) return;
          if (event.key === "+" || event.key === "=") set(scale * 1.25);
          else if (event.key === "-") set(scale * 0.8);
          else if (event.key === "0") setChosen(null);
          else return;
          event.preventDefault();
        }}
      >
        <div
          class={stale ? "drawn stale" : "drawn"}
          ref={drawn}
          onClick={(event) => onPress?.(event, false)}
          onPointerOver={(event) => event.pointerType === "mouse" && onPoint?.(event.target as Element)}
          onPointerLeave={() => onPoint?.(null)}
        />
      </div>
      <p class="pointed" aria-hidden="true">
        {note || (sign.includes("more") ? "There is more of the drawing: move it, or press Whole." : " ")}
      </p>
      <div class="sizes" role="group" aria-label={`Size: ${label}`}>
        <button type="button" aria-label="Smaller" onClick={() => set(scale * 0.8)}>
          −
        </button>
        <button type="button" aria-label="Larger" onClick={() => set(scale * 1.25)}>
          +
        </button>
        <button type="button" onClick={() => setChosen(chosen === null && whole < least ? whole : null)}>
          {chosen === null && whole < least ? "Whole" : "Readable"}
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

// Sets the size; keeps the middle in the middle. Tells on which sides there
// is more than fits.
function usePosition(
  frame: { current: HTMLDivElement | null },
  drawn: { current: HTMLDivElement | null },
  scale: number,
  own: { width: number; height: number },
  room: { width: number; height: number },
  svg: string, // another drawing of the same size is set as the one before
  begin: (drawing: SVGSVGElement) => { x: number; y: number },
): [() => void, string] {
  const middle = useRef<{ x: number; y: number } | null>(null);
  const [sign, setSign] = useState("");
  const look = () => {
    const at = frame.current;
    if (!at) return;
    const drawing = drawn.current?.querySelector("svg");
    if (drawing) keepRulers(at, drawing);
    middle.current = {
      x: (at.scrollLeft + at.clientWidth / 2) / at.scrollWidth,
      y: (at.scrollTop + at.clientHeight / 2) / at.scrollHeight,
    };
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
    const fits = scale <= Math.min(room.width / own.width, room.height / own.height) + 1e-6;
    at.style.overflow = fits ? "hidden" : "auto";
    drawing.style.width = `${own.width * scale}px`;
    drawing.style.height = `${own.height * scale}px`;
    if (fits) {
      // Nothing else to measure, which would cost a layout of the page.
      if (drawing.querySelector(".ruler.moved")) keepRulers(at, drawing);
      return setSign("");
    }
    const centre = middle.current ?? begin(drawing);
    at.scrollLeft = centre.x * at.scrollWidth - at.clientWidth / 2;
    at.scrollTop = centre.y * at.scrollHeight - at.clientHeight / 2;
    look();
  }, [scale, own, room, svg]);
  return [look, sign];
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
