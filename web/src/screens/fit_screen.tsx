// A card from measured points.
import { useState } from "preact/hooks";
import { Progress, RefusalNote, Table } from "../common";
import type { FitView } from "../contract";
import { fitDraft } from "../fit_draft";
import { folder } from "../folder_store";
import { runOf } from "../jobs";
import { Figure } from "../picture";
import { address } from "../route";
import { useStore } from "../store";
import { Top } from "./top";

export function FitScreen() {
  const store = useStore(folder);
  const draft = useStore(fitDraft);
  const run = useStore(runOf<FitView>("fit"));
  const view = store.view;
  const kind = draft.kind || view?.kinds[0] || "";
  const ready = !!(draft.file || draft.points.trim());
  const fit = () =>
    void run.start({
      work: "fit",
      kind: draft.basedOn ? "" : kind,
      based_on: draft.basedOn,
      name: draft.name.trim(),
      source: draft.source.trim(),
      file: draft.file,
      points: draft.file ? "" : draft.points,
      settings: draft.settings,
    });
  return (
    <>
      <Top title="Fit a card" note="A card from measured points, or from points read off a chart." />
      <main id="main" tabIndex={-1} class="screen">
        {store.refusal && <RefusalNote refusal={store.refusal} onClose={() => folder.drop()} />}
        <form
          class="form"
          aria-label="Fit a card"
          onSubmit={(event) => {
            event.preventDefault();
            if (ready) fit();
          }}
        >
          <label>
            points
            <select value={draft.file} onChange={(event) => draft.set({ file: event.currentTarget.value })}>
              <option value="">as written below</option>
              {view?.points.map((entry) => (
                <option key={entry.id} value={entry.id}>
                  {entry.file}
                </option>
              ))}
            </select>
          </label>
          {!draft.file && (
            <label class="whole">
              points as CSV: quantities in the first row, units in brackets
              <textarea
                class="file"
                rows={8}
                spellcheck={false}
                placeholder={"forward_current (mA),forward_voltage (V)\n1,1.05\n5,1.16"}
                value={draft.points}
                onInput={(event) => draft.set({ points: event.currentTarget.value })}
              />
            </label>
          )}
          <label>
            based on
            <select value={draft.basedOn} onChange={(event) => draft.set({ basedOn: event.currentTarget.value })}>
              <option value="">no card: what is usual for the kind</option>
              {view?.cards.map((card) => (
                <option key={card.id} value={card.id}>
                  {card.title}
                </option>
              ))}
            </select>
          </label>
          {!draft.basedOn && (
            <label>
              kind
              <select value={kind} onChange={(event) => draft.set({ kind: event.currentTarget.value })}>
                {view?.kinds.map((word) => (
                  <option key={word}>{word}</option>
                ))}
              </select>
            </label>
          )}
          <label>
            title
            <input
              type="text"
              autocomplete="off"
              placeholder="Infrared emitter of the vane"
              value={draft.name}
              onInput={(event) => draft.set({ name: event.currentTarget.value })}
            />
          </label>
          <label>
            where the points come from
            <input
              type="text"
              autocomplete="off"
              placeholder="measured on five specimens"
              value={draft.source}
              onInput={(event) => draft.set({ source: event.currentTarget.value })}
            />
          </label>
          <label>
            measured at
            <input
              type="text"
              autocomplete="off"
              placeholder="temperature = 25 °C"
              value={draft.measuredAt}
              onInput={(event) => draft.set({ measuredAt: event.currentTarget.value })}
            />
          </label>
          <button type="submit" class="main" disabled={!ready || run.running}>
            Fit
          </button>
        </form>
        <Progress run={run} name="Fit" />
        {run.result && <Fitted fit={run.result} />}
      </main>
    </>
  );
}

function Fitted({ fit }: { fit: FitView }) {
  const draft = useStore(fitDraft);
  const [saved, setSaved] = useState("");
  const save = async () => {
    const done = await folder.saveCard({ name: draft.card.trim(), text: fit.text });
    setSaved(done ? draft.card.trim() : "");
  };
  const card = saved && folder.view?.cards.find((entry) => entry.name === saved && entry.file);
  return (
    <section aria-label="Fitted card">
      <h2>Fitted card</h2>
      <div class="form">
        <label>
          name of the card
          <input
            type="text"
            autocomplete="off"
            spellcheck={false}
            placeholder="vane-emitter"
            value={draft.card}
            onInput={(event) => draft.set({ card: event.currentTarget.value })}
          />
        </label>
        <button type="button" class="main" disabled={!draft.card.trim()} onClick={() => void save()}>
          Save card
        </button>
        <p role="status">
          {saved && `Saved as ${saved}.`}
          {card && (
            <>
              {" "}
              <a href={address({ at: "card", id: card.id })}>See the card</a>, and choose it for a part of a link under Circuit.
            </>
          )}
        </p>
      </div>
      <pre tabIndex={0} class="plain">
        {fit.words}
      </pre>
      <Table
        name="Figures of the fit"
        heads={["what", "figure", "how certain"]}
        rows={fit.figures.map((figure) => [figure.label, figure.text, figure.note])}
      />
      <div class="figures">
        {fit.pictures.map((picture) => (
          <Figure key={picture.name} svg={picture.svg} caption={picture.caption} />
        ))}
      </div>
      <details class="block">
        <summary>
          <h3>The card's file</h3>
        </summary>
        <pre tabIndex={0}>{fit.text}</pre>
      </details>
    </section>
  );
}
