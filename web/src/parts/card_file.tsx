// A card's file: its whole text, and saving it.
import { useEffect, useState } from "preact/hooks";
import type { CardStore } from "../card_store";
import type { CardView } from "../contract";
import { place } from "../route";

export function CardText({ card }: { card: CardStore }) {
  return (
    <details class="block">
      <summary>
        <h2>Whole card</h2>
      </summary>
      <textarea
        class="file"
        aria-label="Whole card"
        spellcheck={false}
        rows={Math.min(40, card.text.split("\n").length + 2)}
        value={card.text}
        onInput={(event) => card.typeWhole(event.currentTarget.value)}
      />
    </details>
  );
}

export function CardSave({ card, file }: { card: CardStore; file: CardView }) {
  const [name, setName] = useState(file.shipped ? `my-${file.name}` : file.name);
  const own = !file.shipped && name.trim() === file.name;
  const ready = !!name.trim() && (!own || card.touched);
  const save = async () => {
    if (!ready) return;
    if (own) return card.save();
    const id = await card.saveAs(name.trim());
    if (id) place.go({ at: "card", id });
  };
  useEffect(() => {
    const press = (event: KeyboardEvent) => {
      if (!(event.ctrlKey || event.metaKey) || event.altKey || event.key.toLowerCase() !== "s") return;
      event.preventDefault();
      void save();
    };
    addEventListener("keydown", press);
    return () => removeEventListener("keydown", press);
  });
  return (
    <section class="card-save" aria-label="Saving">
      <div class="form">
        <label>
          name of the card
          <input type="text" autocomplete="off" spellcheck={false} value={name} onInput={(event) => setName(event.currentTarget.value)} />
        </label>
        <button type="button" class="main" aria-keyshortcuts="Control+S" disabled={!ready} onClick={() => void save()}>
          Save card
        </button>
        {card.touched && !card.outside && (
          <button type="button" onClick={() => card.startAnew()}>
            Give up changes
          </button>
        )}
        <p role="status">
          {card.said || (card.touched && "Not saved yet.")}
          {card.touched && !card.said && <span class="wide-only"> Ctrl+S saves.</span>}
        </p>
      </div>
      {card.outside && (
        <p class="note" role="alert">
          This card was changed outside. What you typed is kept here; it can be saved under another name.{" "}
          <button type="button" onClick={() => card.startAnew()}>
            Take the file's
          </button>
        </p>
      )}
    </section>
  );
}
