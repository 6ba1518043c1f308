// The circuit: the schematic in the middle, its promises beneath, the selected part beside it.
import { useLayoutEffect } from "preact/hooks";
import { VerdictSentence } from "../common";
import type { Caution, Judgement, LinkView, Unjudged } from "../contract";
import type { LinkStore } from "../link_store";
import { CompareLink } from "../parts/compared";
import { FindValues } from "../parts/nothing";
import { PartList, PartPanel } from "../parts/part_panel";
import { NewPromise } from "../parts/promise_new";
import { Promises, Ratings, StatedPromises } from "../parts/promises";
import { Problems, Settings, WholeFile } from "../parts/settings";
import { Words } from "../parts/words";
import { address } from "../route";
import { Stage } from "../stage";

export function CircuitScreen({ link, view }: { link: LinkStore; view: LinkView }) {
  useRedrawnMark(view);
  // Of a text with problems the last there was, one of the two.
  const seen = view.judgement ?? view.unjudged;
  const judgement = seen ? view.judgement : link.judgement;
  const unjudged = seen ? view.unjudged : link.unjudged;
  const drawn = judgement ?? unjudged;
  const part = view.parts.find((other) => other.name === link.selected);
  return (
    <div class={part ? "circuit-work has-part" : "circuit-work"}>
      {drawn && "verdict" in drawn && <VerdictSentence judgement={drawn} />}
      <Problems link={link} />
      {view.unjudged && (
        <p class="note">
          {view.unjudged.words} <FindValues link={link} />, or press a part that is to be chosen and type its value.
        </p>
      )}
      {!view.has_circuit && (
        <p class="note">
          There is no circuit yet: the file states {view.need ? "a need" : "none"}.{" "}
          <a href={address({ at: "link", id: link.id, screen: "need" })}>Go to the need</a>
        </p>
      )}
      {drawn && <Drawing link={link} view={view} drawn={drawn} />}
      <div class="beneath">
        <aside class="beside" aria-label="Parts and values">
          {view.parts.length > 0 && <PartList link={link} parts={view.parts} />}
          {view.parts.length > 0 && !part && (
            <p class="soft small hint">
              Press a part, here or in the drawing, to change its value, try another and see how it is worked out.
            </p>
          )}
          {part && <PartPanel key={part.name} link={link} part={part} />}
        </aside>
        <div class="under">
          {judgement && <Verdicts link={link} view={view} judgement={judgement} />}
          {!judgement && unjudged && <Stated link={link} view={view} unjudged={unjudged} />}
          <Settings link={link} groups={view.settings} />
          {view.judgement && <CompareLink view={view} />}
          {view.about && <p class="about">{view.about}</p>}
          <WholeFile link={link} />
        </div>
      </div>
    </div>
  );
}

function Drawing({ link, view, drawn }: { link: LinkStore; view: LinkView; drawn: Judgement | Unjudged }) {
  const judged = "verdict" in drawn;
  const stale = !(view.judgement ?? view.unjudged);
  const shown = judged ? link.shownCase : null;
  const svg = shown?.view.schematic ?? drawn.schematic;
  return (
    <section aria-label="Circuit" class="drawing">
      <h2 class="unseen">Schematic</h2>
      <div class="row states">
        <fieldset class="radios">
          <legend>state</legend>
          {drawn.states.map((state) => (
            <label key={state}>
              <input
                type="radio"
                name="state"
                value={state}
                checked={state === (link.state || drawn.state)}
                onChange={() => link.choose(state)}
              />
              {state}
            </label>
          ))}
        </fieldset>
        <p class="soft small">
          {switchedBy(svg)}
          {!judged && " A broken outline is a part whose value is still to be chosen."}
          {stale && " Drawn as before the problem."}
        </p>
      </div>
      {shown && (
        <div class="note case">
          <p>
            One specimen on the stage: {shown.title}. <span class="soft">{shown.view.words}</span>
          </p>
          <button type="button" onClick={() => link.backToNominal()}>
            Back to nominal
          </button>
        </div>
      )}
      <Stage
        svg={svg}
        parts={view.parts}
        selected={link.selected}
        stale={stale}
        onSelect={(name, byKey) => {
          link.select(name);
          if (link.selected) valueOf(name, byKey);
        }}
        onSwitch={(name, state) => link.switchTo(name, state)}
      />
    </section>
  );
}

// Which parts of the drawing switch the link when they are pressed.
function switchedBy(svg: string): string {
  const names = [...new Set([...svg.matchAll(/data-part="([^"]*)"[^>]*data-press=/g)].map((match) => match[1] ?? ""))];
  return names.length > 0 ? `or press ${names.join(", ")} in the drawing` : "";
}

// A part was chosen: its value comes into sight, and for the keyboard the next key is for it.
function valueOf(name: string, byKey: boolean): void {
  requestAnimationFrame(() => {
    const panel = [...document.querySelectorAll<HTMLElement>(".panel")].find((one) => one.getAttribute("aria-label") === `Part ${name}`);
    const box = panel?.querySelector<HTMLElement>(".fields input, .fields select, select");
    if (byKey) box?.focus();
    else box?.scrollIntoView({ block: "nearest" });
  });
}

function Verdicts({ link, view, judgement }: { link: LinkStore; view: LinkView; judgement: Judgement }) {
  return (
    <>
      <section aria-label="Promises of the link" class={view.judgement ? "" : "stale"}>
        <h2>Promises</h2>
        <Promises link={link} promises={judgement.promises} settings={view.settings} />
        {judgement.promises.length > 0 && (
          <p class="soft small">
            Bar: the worst value found. Bracket: the bound. Line: nominal. Ticks: specimens drawn.{" "}
            <span class="hint">Press a promise to see where its worst lies.</span>
          </p>
        )}
        <p class="soft small">
          {judgement.specimens}, in {Math.round(judgement.milliseconds)} ms
          {judgement.left_out && `; ${judgement.left_out}`}
        </p>
        <Words words={["promise", "specimen", "worst case", "reserve", "stretch", "rating"]} />
      </section>
      <CautionList link={link} view={view} cautions={judgement.cautions} />
      <Ratings ratings={judgement.ratings} />
      <NewPromise link={link} states={judgement.states} />
    </>
  );
}

// What a link with values still to be chosen says of itself.
function Stated({ link, view, unjudged }: { link: LinkStore; view: LinkView; unjudged: Unjudged }) {
  return (
    <>
      <section aria-label="Promises of the link" class={view.unjudged ? "" : "stale"}>
        <h2>Promises</h2>
        <StatedPromises link={link} promises={unjudged.promises} settings={view.settings} />
        <p class="soft small">{unjudged.words}</p>
      </section>
      <CautionList link={link} view={view} cautions={unjudged.cautions} />
      <NewPromise link={link} states={unjudged.states} />
    </>
  );
}

function CautionList({ link, view, cautions }: { link: LinkStore; view: LinkView; cautions: Caution[] }) {
  if (cautions.length === 0) return null;
  return (
    <section class="cautions" aria-label="Cautions">
      <h2>Cautions</h2>
      <ul>
        {cautions.map((caution, index) => (
          <li key={index}>
            {caution.text}
            {caution.part && caution.part !== link.selected && view.parts.some((part) => part.name === caution.part) && (
              <button type="button" class="quiet" onClick={() => link.select(caution.part)}>
                Show {caution.part}
              </button>
            )}
          </li>
        ))}
      </ul>
    </section>
  );
}

let redrawn = 0;

// For benchmarks: when the picture of a text stands in the page.
function useRedrawnMark(view: LinkView): void {
  useLayoutEffect(() => {
    performance.mark("redrawn");
    document.documentElement.dataset.redrawn = String(++redrawn);
    document.documentElement.dataset.revision = String(view.revision);
  }, [view]);
}
