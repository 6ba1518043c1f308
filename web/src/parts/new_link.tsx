// A new link: from an example, from a need, from a link that is there, or blank. In place.
import type { ComponentChildren } from "preact";
import { useState } from "preact/hooks";
import type { FolderView, NewLink, Refusal } from "../contract";
import { folder as store } from "../folder_store";
import { RefusalNote } from "../common";
import { place } from "../route";
import { drives, kindIs, Kinds, loads } from "./kinds";

type From = NewLink["from"];

interface NewLinkFormProps {
  folder: FolderView;
  refusal: Refusal | null; // of what was asked here
  onMake: () => void;
}

// Each way with a drawing of it, 64 by 44.
const froms: [From, string, ComponentChildren][] = [
  [
    "need",
    "a need",
    <>
      <rect class="ink" x="3" y="12" width="17" height="20" />
      <rect class="ink" x="44" y="12" width="17" height="20" />
      <path class="light" d="M23 20L41 17v10L23 24Z" />
      <path class="ink" d="M8 18a3.5 3.5 0 1 1 5 3.5c-1.5 1-1.5 1.5-1.5 3M11.5 28v.5M49 22l3 3 5-7" />
    </>,
  ],
  [
    "example",
    "an example",
    <>
      <path class="ink" d="M22 42V14L32 3l10 11v28ZM22 32h20M29 42v-7h6v7" />
      <circle class="light" cx="32" cy="21" r="6.5" />
      <path class="ink" d="M32 17v4l3 2" />
    </>,
  ],
  [
    "blank",
    "a blank sheet",
    <>
      <path class="ink" d="M18 4h20l8 8v28H18ZM38 4v8h8" />
      <path class="ink" d="M24 20h16M24 26h16M24 32h10" />
    </>,
  ],
  [
    "copy",
    "a copy",
    <>
      <path class="ink" d="M12 10h22v30H12ZM22 4h22l8 8v24H34" />
      <path class="ink" d="M44 4v8h8" />
    </>,
  ],
];

const hints: Record<From, string> = {
  example: "A link of the clock tower of Averley, an invented one: to look at, to change and to measure.",
  need: "Say what drives it and what it switches: press its kind, or type the name of a card. Circuits that do it are drawn up then, proven and put in order. What is left empty can be stated later.",
  copy: "The same link under another name.",
  blank: "You have a circuit: a file with the least that a link needs, whose parts and paths you write yourself.",
};

// What a title would be called as a file.
function nameFrom(title: string): string {
  return title
    .normalize("NFKD")
    .toLowerCase()
    .replace(/[\u0300-\u036f]/g, "")
    .replace(/[^a-z0-9]+/g, "-")
    .replace(/^-+|-+$/g, "")
    .slice(0, 60);
}

const asked: { key: string; label: string; example: string; kinds?: typeof drives }[] = [
  { key: "title", label: "title", example: "Bell hammer" },
  { key: "drive", label: "what drives it", example: "logic-output-5v", kinds: drives },
  { key: "load", label: "what it switches", example: "relay-coil-24v", kinds: loads },
  { key: "input_supply", label: "input supply", example: "5 V ± 5 %" },
  { key: "output_supply", label: "output supply", example: "24 V ± 10 %" },
  { key: "rate", label: "signalling rate", example: "at rest" },
];

export function NewLinkForm({ folder, refusal, onMake }: NewLinkFormProps) {
  // Only at first: links that come while it is open do not close it.
  const [open] = useState(folder.links.length === 0);
  const [from, setFrom] = useState<From>("example");
  const [name, setName] = useState("");
  const [source, setSource] = useState("");
  const [values, setValues] = useState<Record<string, string>>({});
  const sources = from === "example" ? folder.examples : from === "copy" ? folder.links : [];
  const chosen = sources.some((entry) => entry.id === source) ? source : (sources[0]?.id ?? "");
  const suggested =
    from === "example" ? (sources.find((entry) => entry.id === chosen)?.name ?? "") : from === "need" ? nameFrom(values.title ?? "") : "";
  const create = async () => {
    const stated = from === "need" ? Object.fromEntries(Object.entries(values).filter(([, text]) => text.trim())) : {};
    const order: NewLink = { name: name.trim() || suggested, from, source: chosen, values: stated };
    onMake();
    const link = await store.create(order);
    if (link) place.go({ at: "link", id: link.id, screen: link.has_circuit ? "circuit" : "need" });
  };
  return (
    <details class="block" open={open}>
      <summary>
        <h3>New link</h3>
      </summary>
      <form
        class="form"
        aria-label="New link"
        onSubmit={(event) => {
          event.preventDefault();
          void create();
        }}
      >
        <fieldset class="radios ways">
          <legend>from</legend>
          {froms
            .filter(([word]) => word !== "copy" || folder.links.length > 0)
            .map(([word, words, drawing]) => (
              <label key={word} class={from === word ? "way chosen" : "way"}>
                <svg viewBox="0 0 64 44" width="96" height="66" aria-hidden="true">
                  {drawing}
                </svg>
                <span class="inline">
                  <input type="radio" name="from" value={word} checked={from === word} onChange={() => setFrom(word)} />
                  {words}
                </span>
              </label>
            ))}
        </fieldset>
        <p class="whole hint">{hints[from]}</p>
        {sources.length > 0 && (
          <label>
            {from === "copy" ? "link" : "example"}
            <select value={chosen} onChange={(event) => setSource(event.currentTarget.value)}>
              {sources.map((entry) => (
                <option key={entry.id} value={entry.id}>
                  {entry.title || entry.name}
                  {entry.note && `, ${entry.note}`}
                </option>
              ))}
            </select>
          </label>
        )}
        {from === "need" &&
          asked.map(({ key, label, example, kinds }) => (
            <div key={key} class={kinds ? "whole asked" : ""}>
              {kinds && (
                <Kinds
                  name={key === "drive" ? "kind of drive" : "kind of load"}
                  kinds={kinds}
                  cards={folder.cards}
                  chosen={values[key] ?? ""}
                  onChoose={(card) => setValues({ ...values, [key]: card })}
                />
              )}
              <label>
                {label}
                <input
                  type="text"
                  autocomplete="off"
                  list={kinds ? `cards-${key}` : undefined}
                  placeholder={`such as ${example}`}
                  value={values[key] ?? ""}
                  onInput={(event) => setValues({ ...values, [key]: event.currentTarget.value })}
                />
              </label>
              {kinds && (
                <datalist id={`cards-${key}`}>
                  {folder.cards
                    .filter((card) => kinds.some(({ kind }) => kindIs(card, kind)))
                    .map((card) => (
                      <option key={card.id} value={card.name}>
                        {card.title}
                      </option>
                    ))}
                  {kinds.map(({ kind, described }) => described && <option key={kind} value={described} />)}
                </datalist>
              )}
            </div>
          ))}
        <label>
          name of the file
          <input
            type="text"
            autocomplete="off"
            spellcheck={false}
            placeholder={suggested || "such as bell-hammer"}
            value={name}
            onInput={(event) => setName(event.currentTarget.value)}
          />
        </label>
        <button type="submit" class="main" disabled={!name.trim() && !suggested}>
          Make this link
        </button>
        {refusal && <RefusalNote refusal={refusal} onClose={() => store.drop()} />}
      </form>
    </details>
  );
}
