// What is known of one type of part; a card of the folder can be changed here.
import { useEffect, useState } from "preact/hooks";
import { ask, Ended, refusalFrom } from "../ask";
import { ProblemNote, RefusalNote, Table } from "../common";
import type { CardView, Refusal } from "../contract";
import { folder } from "../folder_store";
import { Figure } from "../picture";
import { heart } from "../pulse";
import { useStore } from "../store";
import { Top } from "./top";

export function CardScreen({ id }: { id: string }) {
  const up = useStore(heart).state === "up";
  const store = useStore(folder);
  const [card, setCard] = useState<CardView | null>(null);
  const [refusal, setRefusal] = useState<Refusal | null>(null);
  const read = () =>
    ask<CardView>(`/api/cards/${encodeURIComponent(id)}`).then(
      (view) => {
        setCard(view);
        setRefusal(null);
      },
      (error: unknown) => {
        if (!(error instanceof Ended)) setRefusal(refusalFrom(error));
      },
    );
  useEffect(() => {
    if (up) void read();
  }, [id, up, store.view]);
  const groups = [...new Set(card?.figures.map((figure) => figure.group))];
  return (
    <>
      <Top
        title={card?.title || card?.name || "Card"}
        note={card ? `${card.kind} · ${card.name}${card.shipped ? " · shipped" : ""}` : ""}
      />
      <main id="main" tabIndex={-1} class="screen">
        {refusal && <RefusalNote refusal={refusal} />}
        {store.refusal && <RefusalNote refusal={store.refusal} onClose={() => folder.drop()} />}
        {card?.source && <p class="about">Where its figures come from: {card.source}</p>}
        {card?.problems.map((problem, index) => (
          <ProblemNote key={index} problem={problem} />
        ))}
        {card && card.findings.length > 0 && (
          <section aria-label="Findings">
            <h2>What cannot be right about it</h2>
            <ul>
              {card.findings.map((finding, index) => (
                <li key={index} class={finding.grave ? "verdict broken" : ""}>
                  {finding.grave ? "✗ " : "! "}
                  {finding.text}
                </li>
              ))}
            </ul>
          </section>
        )}
        {card && (
          <section>
            <h2>Figures</h2>
            <div class="figures">
              {groups.map((group) => (
                <div key={group}>
                  <h3>{group}</h3>
                  <Table
                    name={group || "Figures"}
                    heads={["what", "figure", "origin"]}
                    rows={card.figures
                      .filter((figure) => figure.group === group)
                      .map((figure) => [figure.label, figure.text, figure.origin === "assumed" ? <span class="soft">assumed</span> : ""])}
                  />
                </div>
              ))}
            </div>
          </section>
        )}
        {card && card.charts.length > 0 && (
          <section>
            <h2>Charts</h2>
            <div class="figures">
              {card.charts.map((chart) => (
                <Figure key={chart.name} svg={chart.svg} caption={chart.caption} />
              ))}
            </div>
          </section>
        )}
        {card && <CardText card={card} />}
      </main>
    </>
  );
}

function CardText({ card }: { card: CardView }) {
  const [base, setBase] = useState(card.text); // what is being changed
  const [text, setText] = useState(card.text);
  const [name, setName] = useState(card.shipped ? `my-${card.name}` : card.name);
  const [saved, setSaved] = useState("");
  // The file became another one: it is shown unless something else was typed meanwhile.
  if (card.text !== base && (text === base || text === card.text)) {
    setBase(card.text);
    setText(card.text);
  }
  const save = async () =>
    setSaved((await folder.saveCard({ name, text, replaces: !card.shipped && name === card.name ? base : "" })) ? `Saved as ${name}.` : "");
  return (
    <details class="block">
      <summary>
        <h2>Whole card</h2>
      </summary>
      <textarea
        class="file"
        aria-label="Whole card"
        spellcheck={false}
        rows={Math.min(40, text.split("\n").length + 2)}
        value={text}
        onInput={(event) => setText(event.currentTarget.value)}
      />
      <div class="form">
        <label>
          name of the card
          <input type="text" autocomplete="off" value={name} onInput={(event) => setName(event.currentTarget.value)} />
        </label>
        <button
          type="button"
          disabled={!name.trim() || (!card.shipped && text === card.text && name === card.name)}
          onClick={() => void save()}
        >
          Save card
        </button>
        <p role="status">{saved}</p>
        {card.text !== base && (
          <p class="note" role="alert">
            This card was changed outside. What you typed is kept here; it can be saved under another name.{" "}
            <button
              type="button"
              onClick={() => {
                setBase(card.text);
                setText(card.text);
              }}
            >
              Take the file's
            </button>
          </p>
        )}
      </div>
    </details>
  );
}
