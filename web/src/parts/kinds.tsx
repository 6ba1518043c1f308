// Kinds of what drives a link and of what it switches, each with its symbol: first the kind, then the
// card. Pressing one puts its first card into the box beside it, or, where there is none, what the
// program writes into the file for it.
import type { ComponentChildren } from "preact";
import type { FileEntry } from "../contract";

interface KindOf {
  kind: string; // as cards name it
  words: string;
  symbol: ComponentChildren; // 40 by 40, after IEC 60617
  described?: string; // what the program offers of a kind without a card, in its words
}

export const drives: KindOf[] = [
  {
    kind: "contact",
    words: "a contact",
    symbol: <path class="ink" d="M20 2V14M20 38V26L10 14" />,
    described: "a contact, described here",
  },
  {
    kind: "logic output",
    words: "a logic output",
    symbol: <path class="ink" d="M8 8h24v24H8ZM16 15v10M13 18l3-3M32 20h6M2 20h6" />,
  },
];

export const loads: KindOf[] = [
  { kind: "coil", words: "a relay's coil", symbol: <path class="ink" d="M20 2V12M20 28V38M6 12h28v16H6Z" /> },
  {
    kind: "logic input",
    words: "a logic input",
    symbol: <path class="ink" d="M8 8h24v24H8ZM2 20h6M18 15v10M15 18l3-3M22 25h4" />,
  },
  {
    kind: "indicator",
    words: "an LED",
    symbol: (
      <>
        <path class="ink" d="M16 2v36M8 14h16l-8 13ZM8 27h16" />
        <path class="ink" d="M27 15l7-7M34 8h-5M34 8v5M29 22l7-7" />
      </>
    ),
    described: "an indicator",
  },
  {
    kind: "load",
    words: "another load",
    symbol: <path class="ink" d="M20 2v8M20 30v8M13 10h14v20H13Z" />,
    described: "another load, described here",
  },
];

export function kindIs(card: FileEntry, kind: string): boolean {
  return card.note === kind || card.note.startsWith(`${kind},`);
}

interface KindsProps {
  name: string; // "kind of drive"
  kinds: KindOf[];
  cards: FileEntry[];
  chosen: string; // the card's name, or the words of what has none
  onChoose: (chosen: string) => void;
}

export function Kinds({ name, kinds, cards, chosen, onChoose }: KindsProps) {
  const now = cards.find((card) => card.name === chosen);
  return (
    <div class="kinds" role="group" aria-label={name}>
      {kinds.map(({ kind, words, symbol, described }) => {
        const first = cards.find((card) => kindIs(card, kind))?.name ?? described;
        if (!first) return null;
        const isNow = chosen === described || (now !== undefined && kindIs(now, kind));
        return (
          <button key={kind} type="button" aria-pressed={isNow} onClick={() => onChoose(first)}>
            <svg viewBox="0 0 40 40" width="40" height="40" aria-hidden="true">
              {symbol}
            </svg>
            {words}
          </button>
        );
      })}
    </div>
  );
}
