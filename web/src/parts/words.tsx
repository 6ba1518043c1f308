// Words of the trade and of ours, explained where they stand: underlined, their sentence on press.
import { useState } from "preact/hooks";

const sentences = {
  promise: "What the link must do, with a bound: a voltage, a current, a power or a time in one of its states.",
  rating: "What a part can bear, from its card; where no card states it, what is usual of such parts is assumed, and said.",
  specimen: "One link as it may come out of the drawer: every part somewhere within its limits, at some temperature, light and age.",
  "worst case": "The specimen in which a promise is nearest to its bound, or furthest past it, of all that a search found.",
  reserve: "How far the worst case stays from the bound, as a share of the bound.",
  stretch: "How many times as wide every spread may be before the first bound gives way: 1 is the cliff, 2 is comfortable.",
} as const;

type Word = keyof typeof sentences;

export function Words({ words }: { words: Word[] }) {
  const [open, setOpen] = useState<Word | null>(null);
  return (
    <div class="words soft small">
      What is{" "}
      {words.map((word, index) => (
        <>
          {index > 0 && (index === words.length - 1 ? " or " : ", ")}
          <button type="button" class="word" aria-expanded={open === word} onClick={() => setOpen(open === word ? null : word)}>
            {word}
          </button>
        </>
      ))}
      ?
      {open && (
        <p role="status">
          <b>{open}</b>: {sentences[open]}
        </p>
      )}
    </div>
  );
}
