// What is known of one type of part: figures to be edited, what follows from them beside.
import { useEffect } from "preact/hooks";
import { cardOf, type CardStore } from "../card_store";
import { ProblemNote, RefusalNote } from "../common";
import { folder } from "../folder_store";
import { CardSave, CardText } from "../parts/card_file";
import { CardForm } from "../parts/card_form";
import { Figure } from "../picture";
import { heart } from "../pulse";
import { useStore } from "../store";
import { Top } from "./top";

export function CardScreen({ id }: { id: string }) {
  const up = useStore(heart).state === "up";
  const store = useStore(folder);
  const card = useStore(cardOf(id));
  useEffect(() => card.arrange(), [id]);
  useEffect(() => {
    if (up) void card.read();
  }, [id, up, store.view]);
  const view = card.shown;
  return (
    <>
      <Top
        title={view?.title ?? "Card"}
        note={view ? `${view.kind ? `${view.kind} · ` : ""}${view.name}${view.shipped ? " · shipped" : ""}` : ""}
      />
      <main id="main" tabIndex={-1} class="screen">
        {card.lost && <RefusalNote refusal={card.lost} />}
        {card.refusal && <RefusalNote refusal={card.refusal} onClose={() => card.drop()} />}
        {store.refusal && <RefusalNote refusal={store.refusal} onClose={() => folder.drop()} />}
        {card.file && (
          <>
            <CardSave card={card} file={card.file} />
            {card.problems.map((problem, index) => (
              <ProblemNote key={index} problem={problem} />
            ))}
            <div class="card-pair">
              <CardForm card={card} />
              <Follows card={card} />
            </div>
            <CardText card={card} />
          </>
        )}
      </main>
    </>
  );
}

// What the figures come to: what cannot be right, and the curves.
function Follows({ card }: { card: CardStore }) {
  const findings = card.shown?.findings ?? [];
  const charts = card.drawn?.charts ?? [];
  if (findings.length === 0 && charts.length === 0) return null;
  return (
    <div class="follows">
      {findings.length > 0 && (
        <section aria-label="Findings">
          <h2>What cannot be right about it</h2>
          <ul>
            {findings.map((finding, index) => (
              <li key={index} class={finding.grave ? "judged broken" : ""}>
                {finding.grave ? "✗ " : "! "}
                {finding.text}
              </li>
            ))}
          </ul>
        </section>
      )}
      {charts.length > 0 && (
        <section aria-label="Charts">
          <h2>Charts</h2>
          {card.drawn !== card.shown && <p class="note">Of what is typed there are no curves: these are the last that could be drawn.</p>}
          <div class="figures">
            {charts.map((chart) => (
              <Figure key={chart.name} svg={chart.svg} caption={chart.caption} />
            ))}
          </div>
        </section>
      )}
    </div>
  );
}
