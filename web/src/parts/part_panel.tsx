// What the selected part is: its values, its card, how its values are worked out, and what else
// could stand there.
import type { Choice, PartView } from "../contract";
import type { LinkStore } from "../link_store";
import { Steps, Table, VerdictWords } from "../common";
import { Later } from "../later";
import { FieldRow, problemsAt } from "./field";

export function PartList({ link, parts }: { link: LinkStore; parts: PartView[] }) {
  return (
    <ul class="parts" aria-label="Parts">
      {parts.map((part) => (
        <li key={part.name}>
          <button
            type="button"
            class={link.shown?.to_choose.includes(part.name) ? "to-choose" : ""}
            aria-pressed={link.selected === part.name}
            onClick={() => link.select(part.name)}
          >
            <b>{part.name}</b> {part.value || part.title}
          </button>
        </li>
      ))}
    </ul>
  );
}

export function PartPanel({ link, part }: { link: LinkStore; part: PartView }) {
  const detail = link.detail?.name === part.name ? link.detail : null;
  return (
    <section class="panel" aria-label={`Part ${part.name}`}>
      <header>
        <h2>
          {part.name} <span class="soft">{part.title}</span>
        </h2>
        <button type="button" class="quiet" aria-label={`Close ${part.name}`} onClick={() => link.select(part.name)}>
          ✕
        </button>
      </header>
      <CardChooser link={link} part={part} />
      <Fields link={link} part={part} />
      {detail ? (
        <>
          {detail.shares.length > 0 && (
            <>
              <h3>Its share of the spread</h3>
              <Table
                name={`Share of ${part.name} in each promise's spread`}
                heads={["promise", "share", "a closer grade"]}
                rows={detail.shares.map((share) => [share.promise, share.share, share.grade])}
              />
            </>
          )}
          <Choices link={link} part={part.name} choices={detail.choices} from={detail.choices_from} />
          {detail.steps.length > 0 && (
            <>
              <h3>Worked steps</h3>
              <Steps steps={detail.steps} level={4} />
            </>
          )}
        </>
      ) : (
        link.view?.judgement && <p class="soft">Working out its steps …</p>
      )}
    </section>
  );
}

function Fields({ link, part }: { link: LinkStore; part: PartView }) {
  const stated = part.fields.filter((field, index) => field.origin === "file" || index < 1);
  const others = part.fields.filter((field) => !stated.includes(field));
  const row = (field: PartView["fields"][number]) => (
    <FieldRow
      key={field.at.join("/")}
      link={link}
      field={field}
      owner={part.name}
      slider={part.kind === "resistor" && field.key === "value"}
    />
  );
  return (
    <>
      <div class="fields">{stated.map(row)}</div>
      {others.length > 0 && (
        <Later class="more" summary={`${others.length} more values`} urged={others.some((field) => problemsAt(link, field.at).length > 0)}>
          {() => <div class="fields">{others.map(row)}</div>}
        </Later>
      )}
    </>
  );
}

function CardChooser({ link, part }: { link: LinkStore; part: PartView }) {
  if (part.cards.length === 0) return null;
  const id = `card-of-${part.name}`;
  const known = part.cards.some((card) => card.name === part.card);
  return (
    <div class="field">
      <label for={id}>card</label>
      <select
        id={id}
        aria-label={`card of ${part.name}`}
        value={part.card}
        onChange={(event) => link.commit([{ at: ["parts", part.name, "card"], text: event.currentTarget.value }])}
      >
        {!known && <option value={part.card}>{part.card || "none"}</option>}
        {part.cards.map((card) => (
          <option key={card.name} value={card.name}>
            {card.title}
          </option>
        ))}
      </select>
      <small class="origin">{part.card}</small>
    </div>
  );
}

function Choices({ link, part, choices, from }: { link: LinkStore; part: string; choices: Choice[]; from: string }) {
  if (choices.length === 0) return null;
  return (
    <>
      <h3>Other choices, from {from}</h3>
      <ul class="choices" aria-label={`Other choices for ${part}`}>
        {choices.map((choice) => (
          <li key={choice.text}>
            <b>{choice.text}</b>
            <span class="figure">{choice.reserve}</span>
            <VerdictWords verdict={choice.verdict} words={choice.verdict_words} />
            <button
              type="button"
              aria-disabled={choice.taken}
              aria-label={choice.taken ? `${choice.text} is taken` : `Take ${choice.text}`}
              onClick={() => choice.taken || link.commit(choice.edits)}
            >
              {choice.taken ? "taken" : "Take"}
            </button>
            <small class="soft">least reserve: {choice.limited_by}</small>
          </li>
        ))}
      </ul>
    </>
  );
}
