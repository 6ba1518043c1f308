// A field as it looks: label, value, where that is from, and what is to be said of it.
import type { ComponentChildren } from "preact";
import { withRemedy } from "../common";
import type { Field, Problem } from "../contract";

interface FieldBoxProps {
  field: Field;
  name: string; // that is read out
  shown: string; // as it is typed, or stands there
  written: string; // how the file will write what is typed; empty where that is the same
  problems: Problem[];
  origin: string; // in words
  onType: (text: string) => void;
  onKeep: (text: string) => void; // on Enter, or when it is left
  onLeave?: () => void;
  onGiveBack: () => string | null; // on Escape: what to put there at once; null for nothing
  slide?: ComponentChildren;
  exact?: ComponentChildren;
}

export function FieldBox(props: FieldBoxProps) {
  const { field, name, shown, written, problems, origin, onType, onKeep, onLeave, onGiveBack, slide, exact } = props;
  const id = `field-${field.at.join("-")}`.replace(/[^\w-]/g, "_");
  const common = {
    id,
    "aria-label": name,
    "aria-invalid": problems.length > 0,
    "aria-describedby": problems.length > 0 ? `${id}-problems` : written ? `${id}-written` : undefined,
  };
  return (
    <div class={`field ${field.origin}`}>
      <label for={id}>{field.label}</label>
      {field.words.length > 0 ? (
        <select {...common} value={shown} onChange={(event) => onKeep(event.currentTarget.value)}>
          {!field.words.includes(shown) && <option value={shown}>{shown || (field.origin === "file" ? "…" : "not stated")}</option>}
          {field.words.map((word) => (
            <option key={word}>{word}</option>
          ))}
        </select>
      ) : (
        <input
          {...common}
          type="text"
          autocomplete="off"
          spellcheck={false}
          placeholder={field.example && `such as ${field.example}`}
          value={shown}
          onInput={(event) => onType(event.currentTarget.value)}
          onChange={(event) => onKeep(event.currentTarget.value)}
          onBlur={onLeave}
          onKeyDown={(event) => {
            const before = event.key === "Escape" ? onGiveBack() : null;
            if (before !== null) event.currentTarget.value = before;
          }}
        />
      )}
      <small class="origin">{origin}</small>
      {slide}
      {(written || exact) && (
        <div class="at-field exact soft">
          {written && (
            <p id={`${id}-written`}>
              Written as <b>{written}</b>
            </p>
          )}
          {exact}
        </div>
      )}
      {problems.length > 0 && (
        <div id={`${id}-problems`} class="at-field">
          {problems.map((problem, index) => (
            <p key={index}>✗ {withRemedy(problem.message, problem.remedy)}</p>
          ))}
        </div>
      )}
    </div>
  );
}
