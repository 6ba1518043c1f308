// Values of the whole link, in groups, and the file as a whole.
import { useState } from "preact/hooks";
import type { Field, SettingGroup } from "../contract";
import { ProblemNote } from "../common";
import type { LinkStore } from "../link_store";
import { samePath } from "../path";
import { Later } from "../later";
import { FieldRow, problemsAt } from "./field";

export function Settings({ link, groups }: { link: LinkStore; groups: SettingGroup[] }) {
  return (
    <>
      {groups
        .filter((group) => group.promise < 0 || !(link.judgement ?? link.unjudged))
        .map((group) => (
          <Later
            class="block"
            key={group.name}
            urged={group.fields.some((field) => problemsAt(link, field.at).length > 0)}
            summary={
              <>
                <h2>{group.name}</h2>
                <span class="soft">
                  {group.fields
                    .filter((field) => field.origin === "file")
                    .map((field) => field.text)
                    .join(" · ")}
                </span>
              </>
            }
          >
            {() => <FieldGroup link={link} group={group} />}
          </Later>
        ))}
    </>
  );
}

export function FieldGroup({ link, group }: { link: LinkStore; group: SettingGroup }) {
  return (
    <>
      <div class="fields wide">
        {group.fields.map((field) => (
          <FieldRow key={field.at.join("/")} link={link} field={field} owner={ownerOf(group, field)} />
        ))}
      </div>
      {group.note && <p class="soft small">{group.note}</p>}
    </>
  );
}

function ownerOf(group: SettingGroup, field: Field): string {
  if (group.promise >= 0) return `promise ${group.promise + 1}`;
  const [table, key] = field.at;
  return table === "need" && (key === "drive" || key === "load") ? key : "";
}

export function WholeFile({ link }: { link: LinkStore }) {
  const view = link.shown;
  const [bare] = useState(view?.parts.length === 0 && view.problems.length > 0); // nothing else to edit
  if (!view) return null;
  const text = link.draft ?? view.text;
  const keep = (typed: string) => {
    if (typed !== link.view?.text) link.commitWhole(typed);
    else link.setDraft(null);
  };
  return (
    <details class="block" open={bare || link.restored}>
      <summary>
        <h2>Whole file</h2>
        <span class="soft">{view.file}</span>
      </summary>
      {link.restored && link.draft !== null && (
        <div class="note case">
          <p>This text was typed before the page was loaded anew. It is not in the file yet.</p>
          <button type="button" onClick={() => keep(link.draft ?? "")}>
            Save this text
          </button>
          <button type="button" onClick={() => link.setDraft(null)}>
            Back to the file's
          </button>
        </div>
      )}
      <textarea
        class="file"
        aria-label="Whole file"
        spellcheck={false}
        autocomplete="off"
        rows={Math.min(40, text.split("\n").length + 2)}
        value={text}
        onInput={(event) => {
          link.setDraft(event.currentTarget.value);
          link.tryOut([{ whole: event.currentTarget.value }]);
        }}
        onChange={(event) => keep(event.currentTarget.value)}
        onBlur={(event) => {
          // Typed and taken back: of that the browser tells no change.
          if (link.draft === null || event.currentTarget.value !== link.view?.text) return;
          link.setDraft(null);
          link.dropTrial();
        }}
      />
      <p class="soft small">Tried while you type, saved when you leave it. Undo takes it back.</p>
    </details>
  );
}

// Problems that stand at no value that is in sight.
export function Problems({ link }: { link: LinkStore }) {
  const view = link.shown;
  const part = view?.parts.find((other) => other.name === link.selected);
  const inSight = [
    ...(part?.fields ?? []),
    ...(view?.settings ?? []).filter((group) => group.promise < 0).flatMap((group) => group.fields),
  ];
  const others = (view?.problems ?? []).filter((problem) => !inSight.some((field) => samePath(field.at, problem.at)));
  if (others.length === 0) return null;
  return (
    <section class="refusal" aria-label="Problems">
      {others.map((problem, index) => {
        const name = problem.at?.[0] === "parts" ? String(problem.at[1]) : "";
        const known = name !== link.selected && view?.parts.some((other) => other.name === name);
        return (
          <div key={index}>
            <ProblemNote problem={problem} />
            {known && (
              <button type="button" onClick={() => link.select(name)}>
                Show {name}
              </button>
            )}
          </div>
        );
      })}
    </section>
  );
}
