// A new link: from an example, from a need, from a link that is there, or blank. In place.
import { useState } from "preact/hooks";
import type { FolderView, NewLink, Refusal } from "../contract";
import { folder as store } from "../folder_store";
import { RefusalNote } from "../common";
import { place } from "../route";

type From = NewLink["from"];

interface NewLinkFormProps {
  folder: FolderView;
  refusal: Refusal | null; // of what was asked here
  onMake: () => void;
}

const froms: [From, string][] = [
  ["example", "an example"],
  ["need", "a need"],
  ["copy", "a copy"],
  ["blank", "a blank sheet"],
];

const hints: Record<From, string> = {
  example: "A link of an invented turret clock, to look at and to change.",
  need: "Say what drives it and what it switches, each by the name of a card; circuits that do it are drawn up then. What is left empty can be stated later.",
  copy: "The same link under another name.",
  blank: "A file with the least that a link needs, to write yourself.",
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

const asked: { key: string; label: string; example: string; cards?: RegExp }[] = [
  { key: "title", label: "title", example: "Bell hammer" },
  { key: "drive", label: "what drives it", example: "logic-output-5v", cards: /output|contact/ },
  { key: "load", label: "what it switches", example: "relay-coil-24v", cards: /coil|input|led|load|indicator/ },
  { key: "input_supply", label: "input supply", example: "5 V ± 5 %" },
  { key: "output_supply", label: "output supply", example: "24 V ± 10 %" },
  { key: "rate", label: "signalling rate", example: "at rest" },
];

export function NewLinkForm({ folder, refusal, onMake }: NewLinkFormProps) {
  const [from, setFrom] = useState<From>("example");
  const [name, setName] = useState("");
  const [source, setSource] = useState("");
  const [values, setValues] = useState<Record<string, string>>({});
  const sources = from === "example" ? folder.examples : from === "copy" ? folder.links : [];
  const chosen = sources.some((entry) => entry.id === source) ? source : (sources[0]?.id ?? "");
  const suggested = from === "example" ? (sources.find((entry) => entry.id === chosen)?.name ?? "") : from === "need" ? nameFrom(values.title ?? "") : "";
  const create = async () => {
    const stated = from === "need" ? Object.fromEntries(Object.entries(values).filter(([, text]) => text.trim())) : {};
    const order: NewLink = { name: name.trim() || suggested, from, source: chosen, values: stated };
    onMake();
    const link = await store.create(order);
    if (link) place.go({ at: "link", id: link.id, screen: link.has_circuit ? "circuit" : "need" });
  };
  return (
    <details class="block" open={folder.links.length === 0}>
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
        <fieldset class="radios">
          <legend>from</legend>
          {froms.map(([word, words]) => (
            <label key={word}>
              <input type="radio" name="from" value={word} checked={from === word} onChange={() => setFrom(word)} />
              {words}
            </label>
          ))}
        </fieldset>
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
          asked.map(({ key, label, example, cards }) => (
            <label key={key}>
              {label}
              <input
                type="text"
                autocomplete="off"
                list={cards ? `cards-${key}` : undefined}
                placeholder={`such as ${example}`}
                value={values[key] ?? ""}
                onInput={(event) => setValues({ ...values, [key]: event.currentTarget.value })}
              />
              {cards && (
                <datalist id={`cards-${key}`}>
                  {folder.cards
                    .filter((card) => cards.test(card.note) || cards.test(card.name))
                    .map((card) => (
                      <option key={card.id} value={card.name}>
                        {card.title}
                      </option>
                    ))}
                </datalist>
              )}
            </label>
          ))}
        <label>
          name of the file
          <input type="text" autocomplete="off" spellcheck={false} placeholder={suggested || "such as bell-hammer"} value={name} onInput={(event) => setName(event.currentTarget.value)} />
        </label>
        <button type="submit" class="main" disabled={!name.trim() && !suggested}>
          Make this link
        </button>
        <p class="soft small hint">{hints[from]}</p>
        {refusal && <RefusalNote refusal={refusal} onClose={() => store.drop()} />}
      </form>
    </details>
  );
}
