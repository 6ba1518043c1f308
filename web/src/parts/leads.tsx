// Where the meter's leads go: on the circuit, or on the board as it is built.
import { useEffect, useLayoutEffect, useRef, useState } from "preact/hooks";
import { Refused, refusalFrom } from "../ask";
import type { BenchStore } from "../bench_store";
import { Progress } from "../common";
import type { LeadsView, SheetLineView } from "../contract";
import { grounds, leadsOn, type Ground } from "../leads_on";
import { Picture } from "../picture";
import { keepRulers } from "../rulers";
import { useStore } from "../store";

interface LeadsProps {
  bench: BenchStore;
  line: SheetLineView;
  revision: number; // of the link
  suspected: string[]; // parts
}

export function Leads({ bench, line, revision, suspected }: LeadsProps) {
  const chosen = useStore(leadsOn).ground;
  const plan = bench.plan;
  const ordered = plan.tag === bench.planTag(revision);
  const refused = ordered && !plan.running ? (plan.refusal ?? plan.view?.refusal ?? null) : null;
  const ground: Ground = refused ? "circuit" : chosen;
  useEffect(() => {
    if (chosen === "board" && !ordered) bench.makePlan(revision);
  }, [bench, chosen, ordered, revision]);
  const ready = ground === "circuit" || (ordered && !plan.running && !!plan.result);
  const { drawing, note } = useDrawing(bench, line.id, ground, ready, revision, suspected.join(" "));
  return (
    <div class="leads-picture">
      {refused ? (
        <p class="soft small">
          There is no plan of this board: {refused.error}. The leads are shown on the circuit.{" "}
          {plan.view?.state === "stopped" && (
            <button type="button" class="quiet small" onClick={() => bench.makePlan(revision)}>
              Look for one
            </button>
          )}
        </p>
      ) : (
        <fieldset class="radios">
          <legend>leads shown on</legend>
          {grounds.map((one) => (
            <label key={one}>
              <input type="radio" name="leads-on" value={one} checked={ground === one} onChange={() => leadsOn.choose(one)} />
              {one}
            </label>
          ))}
          {ground === "board" && ready && (
            <span class="soft small">
              {plan.result?.words}
              {suspected.length > 0 && "; dashed frames: under suspicion"}
            </span>
          )}
        </fieldset>
      )}
      {ground === "board" && plan.running && <Progress run={plan} name="Plan of the board" />}
      {note && <p class="soft small">{note}</p>}
      <LeadsFrame svg={drawing} ground={ground} />
    </div>
  );
}

// The drawing, and what is to be said of it. A reading's drawing stays until the next one is there.
function useDrawing(bench: BenchStore, id: string, ground: Ground, ready: boolean, revision: number, suspected: string): LeadsView {
  const [shown, setShown] = useState<LeadsView>({ drawing: "", note: "" });
  useEffect(() => {
    if (!ready) return;
    let current = true;
    const show = (view: LeadsView) => current && setShown(view);
    const failed = (error: unknown) => {
      // Of the circuit the words beneath say the same.
      if (ground === "circuit") return show({ drawing: "", note: "" });
      const gone = error instanceof Refused && error.status === 409; // the program was started anew
      if (current && gone) return bench.makePlan(revision);
      show({ drawing: "", note: refusalFrom(error).error });
    };
    const names = suspected.split(" ").filter((name) => name !== "");
    void bench.leads(id, ground === "board" ? bench.board : "", names).then(show, failed);
    return () => {
      current = false;
    };
  }, [bench, id, ground, ready, revision, suspected]);
  return shown;
}

const readable = 11 / 12; // of a circuit, whose small type is 12 px

// Where the leads go stands in the middle.
function LeadsFrame({ svg, ground }: { svg: string; ground: Ground }) {
  const frame = useRef<HTMLDivElement>(null);
  useLayoutEffect(() => {
    const at = frame.current;
    const drawn = at?.querySelector("svg");
    const marks = [...(at?.querySelectorAll(".probe:not(.rings)") ?? [])];
    if (!at || !drawn || marks.length === 0) return;
    // Both leads in one look: the frame stays as it is, so that nothing moves under a finger. A
    // board's names of holes are not made smaller for it, nor the words of a circuit than can be read; a
    // small board is shown larger.
    const { width, height } = drawn.viewBox.baseVal;
    const whole = Math.min(at.clientWidth / width, at.clientHeight / height);
    const [least, most] = drawn.querySelector(".ruler") ? [1, Math.max(1, Math.min(1.5, whole))] : [readable, 1];
    const scale = Math.max(least, Math.min(most, (at.clientHeight - 16) / boxOf(marks).height));
    drawn.style.width = `${width * scale}px`;
    const own = at.getBoundingClientRect();
    const box = boxOf(marks);
    at.scrollLeft += box.x + box.width / 2 - (own.left + own.width / 2);
    at.scrollTop += box.y + Math.min(box.height, own.height) / 2 - (own.top + own.height / 2);
    keepRulers(at, drawn);
  }, [svg]);
  return (
    <div
      class={`scroll leads-drawing on-${ground}`}
      ref={frame}
      tabIndex={0}
      role="group"
      aria-label="Where the leads go"
      onScroll={(event) => {
        const drawn = event.currentTarget.querySelector("svg");
        if (drawn) keepRulers(event.currentTarget, drawn);
      }}
    >
      {svg && <Picture svg={svg} />}
    </div>
  );
}

function boxOf(marks: Element[]): DOMRect {
  const boxes = marks.map((mark) => mark.getBoundingClientRect());
  const left = Math.min(...boxes.map((box) => box.left));
  const top = Math.min(...boxes.map((box) => box.top));
  return new DOMRect(left, top, Math.max(...boxes.map((box) => box.right)) - left, Math.max(...boxes.map((box) => box.bottom)) - top);
}
