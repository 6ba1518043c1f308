// Links or answers side by side: one table, what differs marked.
import { useState } from "preact/hooks";
import { ask } from "../ask";
import type { AnswerView, LinkView } from "../contract";
import { folder } from "../folder_store";
import { Later } from "../later";
import { useStore } from "../store";

interface Row {
  name: string;
  cells: string[];
}

function Compared({ name, heads, rows }: { name: string; heads: string[]; rows: Row[] }) {
  return (
    <div class="scroll" tabIndex={0} role="group" aria-label={name}>
      <table class="compared">
        <caption>{name}</caption>
        <thead>
          <tr>
            <th scope="col">{""}</th>
            {heads.map((head, index) => (
              <th key={index} scope="col">
                {head}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {rows.map((row) => {
            const differs = new Set(row.cells).size > 1;
            return (
              <tr key={row.name} class={differs ? "differs" : ""}>
                <th scope="row">
                  {row.name}
                  {differs && <span class="unseen"> (differs)</span>}
                </th>
                {row.cells.map((cell, index) => (
                  <td key={index}>{cell || "–"}</td>
                ))}
              </tr>
            );
          })}
        </tbody>
      </table>
    </div>
  );
}

// Names in the order in which they come up, each once.
function namesOf(lists: string[][]): string[] {
  return [...new Set(lists.flat())];
}

export function ComparedAnswers({ answers }: { answers: AnswerView[] }) {
  if (answers.length < 2) return null;
  const row = (name: string, of: (answer: AnswerView) => string): Row => ({ name, cells: answers.map(of) });
  const parts = namesOf(answers.map((answer) => answer.values.map((value) => value.part)));
  const rows = [
    row("verdict", (answer) => answer.verdict_words),
    row("least reserve", (answer) => answer.reserve),
    row("limited by", (answer) => answer.limited_by),
    row("stretch", (answer) => answer.stretch.replace("stretch ", "")),
    row("parts", (answer) => answer.parts),
    row("current", (answer) => answer.current),
    row("input side dead", (answer) => answer.when_dead.replace(/^input side dead[^:]*: /, "")),
    row("against good practice", (answer) => answer.against_practice.join("; ")),
    ...parts.map((part) => row(part, (answer) => answer.values.find((value) => value.part === part)?.text ?? "")),
  ];
  return (
    <Later class="block" urged={false} summary={<h3>Side by side</h3>}>
      {() => (
        <Compared name="Answers side by side" heads={answers.map((answer) => `${answer.number + 1}. ${answer.characters}`)} rows={rows} />
      )}
    </Later>
  );
}

function linkRows(views: LinkView[]): Row[] {
  const row = (name: string, of: (view: LinkView) => string): Row => ({ name, cells: views.map(of) });
  const promiseOf = (view: LinkView, name: string) => view.judgement?.promises.find((one) => `${one.quantity}, ${one.state}` === name);
  const promises = namesOf(views.map((view) => (view.judgement?.promises ?? []).map((one) => `${one.quantity}, ${one.state}`)));
  const parts = namesOf(views.map((view) => view.parts.map((part) => part.name)));
  return [
    row("verdict", (view) => view.judgement?.verdict_words ?? ""),
    ...promises.map((name) =>
      row(name, (view) => {
        const promise = promiseOf(view, name);
        if (!promise) return "";
        return `${promise.verdict_words}: ${promise.worst}, ${promise.bounds}${promise.stretch ? `, stretch ${promise.stretch}` : ""}`;
      }),
    ),
    ...parts.map((name) =>
      row(name, (view) => {
        const part = view.parts.find((other) => other.name === name);
        return part ? part.value || part.title : "";
      }),
    ),
  ];
}

export function CompareLink({ view }: { view: LinkView }) {
  const others = useStore(folder).view?.links.filter((entry) => entry.id !== view.id && entry.note !== "need") ?? [];
  const [other, setOther] = useState<LinkView | null>(null);
  const [failed, setFailed] = useState(false);
  if (others.length === 0) return null;
  const load = async (id: string) => {
    setOther(null);
    setFailed(false);
    if (!id) return;
    try {
      setOther(await ask<LinkView>(`/api/links/${encodeURIComponent(id)}`));
    } catch {
      setFailed(true);
    }
  };
  return (
    <Later class="block" urged={false} summary={<h2>Compare</h2>}>
      {() => (
        <>
          <p class="form">
            <label>
              with
              <select onChange={(event) => void load(event.currentTarget.value)}>
                <option value="">…</option>
                {others.map((entry) => (
                  <option key={entry.id} value={entry.id}>
                    {entry.title}, {entry.file}
                  </option>
                ))}
              </select>
            </label>
          </p>
          {failed && <p>This link could not be read.</p>}
          {other && (
            <Compared
              name={`${view.title} beside ${other.title}`}
              heads={[view.title || view.name, other.title || other.name]}
              rows={linkRows([view, other])}
            />
          )}
        </>
      )}
    </Later>
  );
}
