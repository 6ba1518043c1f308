// Promises and ratings: verdict, bound, worst, reserve, and the bar of each; opened, what lies
// behind it.
import { keyOf } from "../announce";
import { VerdictWords } from "../common";
import type { PromiseView, SettingGroup, StatedPromise } from "../contract";
import type { LinkStore } from "../link_store";
import { Later } from "../later";
import { Picture } from "../picture";
import { FieldRow } from "./field";

export function Promises({ link, promises, settings }: { link: LinkStore; promises: PromiseView[]; settings: SettingGroup[] }) {
  if (promises.length === 0) return <p class="soft">The link promises nothing yet.</p>;
  return (
    <ul class="promises" aria-label="Promises">
      {promises.map((promise) => (
        <Row key={keyOf(promise)} promise={promise}>
          <CaseButtons link={link} promise={promise} />
          <PromiseFields link={link} number={promise.number} settings={settings} />
        </Row>
      ))}
    </ul>
  );
}

function PromiseFields({ link, number, settings }: { link: LinkStore; number: number; settings: SettingGroup[] }) {
  return (
    <>
      {settings
        .filter((group) => group.promise === number && number >= 0)
        .map((group) => (
          <div class="fields" key={group.name}>
            {group.fields.map((field) => (
              <FieldRow key={field.at.join("/")} link={link} field={field} owner={`promise ${number + 1}`} />
            ))}
            <button type="button" onClick={() => link.commit([{ remove: ["promise", number] }])}>
              Take promise {number + 1} out
            </button>
          </div>
        ))}
    </>
  );
}

// Of a link with values still to be chosen: what is promised, and no verdict.
export function StatedPromises({ link, promises, settings }: { link: LinkStore; promises: StatedPromise[]; settings: SettingGroup[] }) {
  if (promises.length === 0) {
    return <p class="soft">The link promises nothing yet: values are chosen by what is promised.</p>;
  }
  return (
    <ul class="promises stated" aria-label="Promises">
      {promises.map((promise) => (
        <li key={promise.number}>
          <details>
            <summary>
              <strong class="verdict">not judged</strong>
              <span class="what">
                {promise.quantity}, <span class="soft">{promise.state}</span>
              </span>
              <span class="figure">{promise.bounds}</span>
            </summary>
            <div class="behind">
              <PromiseFields link={link} number={promise.number} settings={settings} />
            </div>
          </details>
        </li>
      ))}
    </ul>
  );
}

export function Ratings({ ratings }: { ratings: PromiseView[] }) {
  const over = ratings.filter((rating) => rating.verdict !== "kept").length;
  return (
    <Later
      class="block"
      urged={over > 0}
      summary={
        <>
          <h2>Ratings</h2>
          <span class="soft">
            {over > 0 ? `${over} of ${ratings.length} not kept with reserve` : `${ratings.length}, the tightest first`}
          </span>
        </>
      }
    >
      {() => (
        <ul class="promises" aria-label="Ratings">
          {ratings.map((rating) => (
            <Row key={keyOf(rating)} promise={rating} />
          ))}
        </ul>
      )}
    </Later>
  );
}

function Row({ promise, children }: { promise: PromiseView; children?: preact.ComponentChildren }) {
  return (
    <li class={promise.verdict}>
      <details>
        <summary>
          <VerdictWords verdict={promise.verdict} words={promise.verdict_words} />
          <span class="what">
            {promise.quantity}, <span class="soft">{promise.state}</span>
          </span>
          <span class="figure bounds">{promise.bounds}</span>
          <span class="figure worst">
            <small>worst </small>
            {promise.worst}
          </span>
          <span class="figure left">
            <small>reserve </small>
            {promise.reserve}
            {promise.stretch && (
              <span class="wide-by">
                {" "}
                <small>stretch </small>
                {promise.stretch}
              </span>
            )}
          </span>
          <Picture class="bar" svg={promise.bar} />
          {promise.reason && <span class="reason">{promise.reason}</span>}
        </summary>
        <div class="behind">
          <dl class="facts">
            <Fact term="nominal" text={promise.nominal} />
            <Fact term="lowest" text={promise.lowest} />
            <Fact term="highest" text={promise.highest} />
            <Fact term="kept by" text={promise.share} />
            <Fact term="where the worst lies" text={promise.worst_case} wide />
          </dl>
          {children}
        </div>
      </details>
    </li>
  );
}

function Fact({ term, text, wide }: { term: string; text: string; wide?: boolean }) {
  if (!text) return null;
  return (
    <div class={wide ? "wide" : ""}>
      <dt>{term}</dt>
      <dd>{text}</dd>
    </div>
  );
}

function CaseButtons({ link, promise }: { link: LinkStore; promise: PromiseView }) {
  const shown = link.shownCase;
  const title = `${promise.quantity}, ${promise.state}`;
  return (
    <p class="buttons">
      Show in the schematic:{" "}
      {(["lowest", "highest"] as const).map((end) => (
        <button
          type="button"
          key={end}
          aria-label={`Show the ${end} of ${title}`}
          aria-pressed={shown?.promise === promise.number && shown.end === end}
          onClick={() => void link.showCase(promise.number, end, `the ${end} of ${title}`, promise.state)}
        >
          {end}
        </button>
      ))}
    </p>
  );
}
