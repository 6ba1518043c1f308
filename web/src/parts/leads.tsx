// Where the meter's leads go: on the circuit, or on the board as it is built.
import { useEffect, useLayoutEffect, useRef, useState } from "preact/hooks";
import { Refused, refusalFrom } from "../ask";
import type { BenchStore } from "../bench_store";
import { Progress } from "../common";
import type { SheetLineView } from "../contract";
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
  const [drawing, trouble] = useDrawing(bench, line.id, ground, ready, revision, suspected.join(" "));
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
      {trouble && <p class="soft small">{trouble}</p>}
      <LeadsFrame svg={drawing} ground={ground} />
    </div>
  );
}

// The drawing, and what is in its way. A reading's drawing stays until the next one is there.
function useDrawing(bench: BenchStore, id: string, ground: Ground, ready: boolean, revision: number, suspected: string): [string, string] {
  const [shown, setShown] = useState({ drawing: "", trouble: "" });
  useEffect(() => {
    if (!ready) return;
    let current = true;
    const show = (drawing: string, trouble = "") => current && setShown({ drawing, trouble });
    const failed = (error: unknown) => {
      if (!current || ground === "circuit") return void show(""); // the words beneath say the same
      if (error instanceof Refused && error.status === 409) return bench.makePlan(revision); // the program was started anew
      show("", refusalFrom(error).error);
    };
    const names = suspected.split(" ").filter((name) => name !== "");
    void bench.leads(id, ground === "board" ? bench.board : "", names).then(show, failed);
    return () => {
      current = false;
    };
  }, [bench, id, ground, ready, revision, suspected]);
  return [shown.drawing, shown.trouble];
}

// Where the leads go stands in the middle.
function LeadsFrame({ svg, ground }: { svg: string; ground: Ground }) {
  const frame = useRef<HTMLDivElement>(null);
  useLayoutEffect(() => {
    const at = frame.current;
    const drawn = at?.querySelector("svg");
    const marks = [...(at?.querySelectorAll(".probe:not(.rings)") ?? [])];
    if (!at || !drawn || marks.length === 0) return;
    // Both leads in one look: the frame stays as it is, so that nothing moves under a finger. A
    // board's names of holes are not made smaller for it.
    const least = drawn.querySelector(".ruler") ? 1 : 0;
    const scale = Math.max(least, Math.min(1, (at.clientHeight - 16) / boxOf(marks).height));
    drawn.style.width = `${drawn.viewBox.baseVal.width * scale}px`;
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
