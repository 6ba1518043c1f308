// What the link must do, and the circuits that would do it.
import { useState } from "preact/hooks";
import { Progress, RefusalNote, Table, VerdictWords } from "../common";
import type { AnswerView, DesignView, LinkView } from "../contract";
import { runOf, type Run } from "../jobs";
import type { LinkStore } from "../link_store";
import { FieldGroup, Problems, WholeFile } from "../parts/settings";
import { ComparedAnswers } from "../parts/compared";
import { Paper } from "../paper";
import { folder } from "../folder_store";
import { address, place } from "../route";
import { useStore } from "../store";

export function NeedScreen({ link, view }: { link: LinkStore; view: LinkView }) {
  const own = useStore(folder).view?.links.find((entry) => entry.id === link.id);
  const need = folder.view?.links.find((entry) => entry.note === "need" && entry.name === own?.name && entry.id !== link.id);
  const run = useStore(runOf<DesignView>(`design/${link.id}`));
  const can = !!view.need || view.to_choose.length > 0;
  return (
    <>
      <Problems link={link} />
      {view.need ? (
        view.need.fields.map((group) => (
          <section key={group.name}>
            <h2>{group.name}</h2>
            <FieldGroup link={link} group={group} />
          </section>
        ))
      ) : (
        <section>
          <h2>No need is stated</h2>
          {need && (
            <p>
              A need of the same name is stated in <a href={address({ at: "link", id: need.id, screen: "need" })}>{need.file}</a>.
            </p>
          )}
          <p>
            {view.has_circuit
              ? "This file states a circuit, and no need that it was drawn up from. Its promises stand under Circuit."
              : "This file states neither a need nor a circuit."}{" "}
            {view.to_choose.length > 0
              ? `Values are to be chosen for ${view.to_choose.join(", ")}: Design finds them.`
              : "To have a circuit drawn up, make a new link from a need in the folder, or write [need] into the file below. To have a resistor's value found, write “choose” as its value."}
          </p>
        </section>
      )}
      {(can || run.result) && (
        <section>
          <h2>Answers</h2>
          {can && (
            <p>
              <button
                type="button"
                class="main"
                disabled={run.running}
                onClick={() => void run.start({ work: "design", link: link.id }, link.view?.revision)}
              >
                Design
              </button>{" "}
              <span class="soft">
                {view.need ? "looks at every circuit that fits the need" : `finds values for ${view.to_choose.join(", ")}`}
              </span>
            </p>
          )}
          <Progress run={run} name="Design" />
          {run.result && <Answers link={link} run={run} design={run.result} />}
        </section>
      )}
      <WholeFile link={link} />
    </>
  );
}

function Answers({ link, run, design }: { link: LinkStore; run: Run<DesignView>; design: DesignView }) {
  const taken = design.answers.findIndex((answer) => answer.text === link.view?.text);
  const old = taken < 0 && run.revision !== link.view?.revision;
  return (
    <>
      <p>{design.words}</p>
      {taken >= 0 && <p class="note">The link is answer {taken + 1}; the others can still be taken.</p>}
      {old && (
        <p class="note">
          The link has changed since these answers were found: taking one puts its file in place of what is there (Undo brings that back).
        </p>
      )}
      <ul class="answers" aria-label="Answers">
        {design.answers.map((answer) => (
          <Answer key={answer.number} answer={answer} taken={answer.number === taken} onTake={() => take(link, run, answer)} />
        ))}
      </ul>
      <ComparedAnswers answers={design.answers} />
      {design.gaps.length > 0 && (
        <>
          <h3>Gaps compared</h3>
          <Table
            name="Gaps compared"
            heads={["gap", "kind", "least reserve", "what limits it"]}
            rows={design.gaps.map((gap) => [<b>{gap.gap}</b>, gap.kind, gap.reserve, gap.words])}
          />
        </>
      )}
      {design.not_looked_at.length > 0 && (
        <details>
          <summary>Not looked at: {design.not_looked_at.length}</summary>
          <ul>
            {design.not_looked_at.map((row, index) => (
              <li key={index}>{row}</li>
            ))}
          </ul>
        </details>
      )}
      {design.skipped.length > 0 && (
        <details>
          <summary>Rows of the drawer that could not be read: {design.skipped.length}</summary>
          <ul>
            {design.skipped.map((row, index) => (
              <li key={index}>{row}</li>
            ))}
          </ul>
        </details>
      )}
      {run.refusal && <RefusalNote refusal={run.refusal} />}
    </>
  );
}

function take(link: LinkStore, run: Run<DesignView>, answer: AnswerView): void {
  if (!run.resultOf) return;
  link.takeAnswer({ job: run.resultOf.id, answer: answer.number, revision: link.view?.revision ?? 0 });
  place.go({ at: "link", id: link.id, screen: "circuit" });
}

function Answer({ answer, taken, onTake }: { answer: AnswerView; taken: boolean; onTake: () => void }) {
  const [open, setOpen] = useState(false);
  const number = answer.number + 1;
  const windows = answer.values.some((value) => value.window);
  return (
    <li>
      <article aria-label={`Answer ${number}`}>
        <header>
          <h3>
            {number}. {answer.characters}
          </h3>
          <VerdictWords verdict={answer.verdict} words={answer.verdict_words} />
        </header>
        <Paper svg={answer.schematic} label={`Schematic of answer ${number}`} smallest={12} byItself={1} centre={() => ({ x: 0, y: 0 })} />
        <dl class="facts">
          <div>
            <dt>least reserve</dt>
            <dd>{answer.reserve}</dd>
          </div>
          {answer.stretch && (
            <div>
              <dt>stretch</dt>
              <dd>{answer.stretch.replace("stretch ", "")}</dd>
            </div>
          )}
          <div>
            <dt>parts</dt>
            <dd>{answer.parts}</dd>
          </div>
          <div>
            <dt>current</dt>
            <dd>{answer.current}</dd>
          </div>
          <div class="wide">
            <dt>limited by</dt>
            <dd>{answer.limited_by}</dd>
          </div>
        </dl>
        {answer.against_first && <p>{answer.against_first}</p>}
        <p>{answer.when_dead}</p>
        {answer.against_practice.map((sentence, index) => (
          <p key={index}>Against good practice: {sentence}</p>
        ))}
        {answer.unknown.map((sentence, index) => (
          <p key={index}>? {sentence}</p>
        ))}
        <Table
          name={`Values of answer ${number}`}
          heads={windows ? ["part", "value", "where all holds"] : ["part", "value"]}
          rows={answer.values.map((value) => [<b>{value.part}</b>, value.text, ...(windows ? [value.window] : [])])}
        />
        <p class="buttons">
          <button type="button" class="main" disabled={taken} onClick={onTake}>
            {taken ? "Taken" : "Take this one"}
          </button>
        </p>
        <details onToggle={(event) => setOpen(event.currentTarget.open)}>
          <summary>Why these values, and the file</summary>
          {open && (
            <>
              {answer.values.map((value) => (
                <section key={value.part}>
                  <h4>{value.part}</h4>
                  <ul>
                    {value.why.map((line, index) => (
                      <li key={index}>{line}</li>
                    ))}
                  </ul>
                </section>
              ))}
              <pre tabIndex={0}>{answer.text}</pre>
            </>
          )}
        </details>
      </article>
    </li>
  );
}
