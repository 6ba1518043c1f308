// One value of the file, edited in place: tried while it is typed, kept on Enter or when it is
// left, given back by Escape.
import { useEffect, useRef, useState } from "preact/hooks";
import type { Edit, Field, Path, Problem } from "../contract";
import type { LinkStore } from "../link_store";
import { samePath } from "../path";
import { FieldBox } from "./field_box";
import { isBare, nearestStep, steps, stepText, withStep } from "../e24";

interface FieldProps {
  link: LinkStore;
  field: Field;
  owner: string; // "R1", "promise 1": for the name that is read out
  slider?: boolean;
}

export function FieldRow({ link, field, owner, slider }: FieldProps) {
  const [draft, setDraft] = useState<string | null>(() => link.unansweredAt(field.at));
  const sent = useRef(draft !== null); // typed text stays until the program has taken it
  const kept = useRef(link.kept);
  useEffect(() => {
    if (kept.current === link.kept) return;
    kept.current = link.kept;
    if (sent.current) setDraft(null);
    sent.current = false;
  }, [link.kept]);
  const name = owner ? `${field.label} of ${owner}` : field.label;
  const problems = problemsAt(link, field.at);
  const tell = (text: string) => {
    sent.current = false; // an answer to what was sent before must not take this away
    setDraft(text);
    link.tryOut([editOf(field, text)]);
  };
  const keep = (text: string) => {
    const changes = text !== keptText(link, field);
    sent.current = changes;
    setDraft(changes ? text : null);
    if (changes) link.commit([editOf(field, text)]);
    else link.dropTrial();
  };
  const shown = draft ?? field.text;
  // How the file will write what is typed, once the program has said so.
  const written =
    draft !== null && problems.length === 0 && link.triedAt(field.at) === draft && field.text !== draft.trim() ? field.text : "";
  return (
    <FieldBox
      field={field}
      name={name}
      shown={shown}
      written={written}
      problems={problems}
      origin={field.words.length > 0 && !shown ? "" : originWords[field.origin]}
      onType={tell}
      onKeep={keep}
      onLeave={() => {
        // Typed and taken back: of that the browser tells no change.
        if (draft === null || sent.current || draft !== keptText(link, field)) return;
        setDraft(null);
        link.dropTrial();
      }}
      onGiveBack={() => {
        if (draft === null) return null;
        setDraft(null);
        link.dropTrial();
        return keptText(link, field);
      }}
      slide={slider && <ValueSlider text={shown} name={name} onMove={tell} onLeave={keep} />}
      exact={slider && isBare(shown) && <Exact name={name} onKeep={() => keep(`${shown.trim()} ± 5 %`)} />}
    />
  );
}

// A value without a tolerance is proven as if every specimen had exactly it.
function Exact({ name, onKeep }: { name: string; onKeep: () => void }) {
  return (
    <p>
      No tolerance stated: counted as exact.{" "}
      <button type="button" class="quiet" aria-label={`Put ± 5 % to ${name}`} onClick={onKeep}>
        Put ± 5 %
      </button>
    </p>
  );
}

const originWords = { file: "", card: "from the card", assumed: "assumed", absent: "not stated" };

interface SliderProps {
  text: string;
  name: string;
  onMove: (text: string) => void;
  onLeave: (text: string) => void;
}

// By pointer it is kept when it is let go; by keys when they rest, so that undo has one step.
function ValueSlider({ text, name, onMove, onLeave }: SliderProps) {
  const pressed = useRef(false);
  const rest = useRef(0);
  const step = nearestStep(text);
  if (step === null) return null;
  const keep = (at: number) => {
    clearTimeout(rest.current);
    rest.current = 0;
    onLeave(withStep(text, at));
  };
  return (
    <input
      type="range"
      class="slide"
      min={0}
      max={steps.length - 1}
      step={1}
      value={step}
      aria-label={`slide ${name}`}
      aria-valuetext={stepText(step)}
      onPointerDown={() => (pressed.current = true)}
      onInput={(event) => onMove(withStep(text, event.currentTarget.valueAsNumber))}
      onChange={(event) => {
        const at = event.currentTarget.valueAsNumber;
        clearTimeout(rest.current);
        if (pressed.current) keep(at);
        else rest.current = window.setTimeout(keep, keysRest, at);
        pressed.current = false;
      }}
      onBlur={(event) => rest.current && keep(event.currentTarget.valueAsNumber)}
    />
  );
}

const keysRest = 500; // milliseconds

function editOf(field: Field, text: string): Edit {
  return { at: field.at, text: text.trim() === "" ? null : text };
}

// What stands in the text that is kept, not in the one being tried.
function keptText(link: LinkStore, field: Field): string {
  const view = link.view;
  const all = [...(view?.parts ?? []), ...(view?.settings ?? []), ...(view?.need?.fields ?? [])];
  const same = all.flatMap((group) => group.fields).find((other) => samePath(other.at, field.at));
  return same?.text ?? "";
}

export function problemsAt(link: LinkStore, at: Path): Problem[] {
  const problems = (link.shown?.problems ?? []).filter((problem) => samePath(problem.at, at));
  if (!link.refusal || !samePath(link.refusedAt, at)) return problems;
  const refused = { message: link.refusal.error, remedy: link.refusal.remedy, line: 0, column: 0, excerpt: "", at };
  return [...problems, refused];
}
