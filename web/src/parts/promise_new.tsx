// Adds a promise: a quantity in a state, and a bound. The program says what is wrong with it.
import { useState } from "preact/hooks";
import type { LinkStore } from "../link_store";

export function NewPromise({ link, states }: { link: LinkStore; states: string[] }) {
  const [state, setState] = useState(states[0] ?? "");
  const [kind, setKind] = useState("voltage");
  const [of, setOf] = useState("");
  const [side, setSide] = useState("output");
  const [bound, setBound] = useState("at_least");
  const [value, setValue] = useState("");
  const add = () => {
    const places = of
      .split(",")
      .map((place) => place.trim())
      .filter(Boolean);
    const values: Record<string, string | string[]> = { state };
    values[kind] = places.length > 1 ? places : (places[0] ?? "");
    if (kind === "voltage") values.side = side;
    values[bound] = value;
    link.commit([{ append: ["promise"], values }]);
  };
  const pick = (name: string, text: string, set: (text: string) => void, words: [string, string][]) => (
    <label>
      {name}
      <select value={text} onChange={(event) => set(event.currentTarget.value)}>
        {words.map(([word, shown]) => (
          <option key={word} value={word}>
            {shown}
          </option>
        ))}
      </select>
    </label>
  );
  return (
    <details class="block">
      <summary>
        <h2>Add a promise</h2>
      </summary>
      <div class="form">
        {pick(
          "in state",
          state,
          setState,
          states.map((name) => [name, name]),
        )}
        {pick(
          "quantity",
          kind,
          setKind,
          ["voltage", "current", "power"].map((name) => [name, name]),
        )}
        <label>
          {kind === "voltage" ? "between" : "of part"}
          <input
            type="text"
            autocomplete="off"
            placeholder={kind === "voltage" ? "supply, coil" : "K1"}
            value={of}
            onInput={(event) => setOf(event.currentTarget.value)}
          />
        </label>
        {kind === "voltage" &&
          pick(
            "side",
            side,
            setSide,
            ["input", "output"].map((name) => [name, name]),
          )}
        {pick("bound", bound, setBound, [
          ["at_least", "at least"],
          ["at_most", "at most"],
        ])}
        <label>
          value
          <input
            type="text"
            autocomplete="off"
            placeholder={kind === "voltage" ? "16.8 V" : "1 mA"}
            value={value}
            onInput={(event) => setValue(event.currentTarget.value)}
          />
        </label>
        <button type="button" disabled={!of.trim() || !value.trim()} onClick={add}>
          Add this promise
        </button>
      </div>
    </details>
  );
}
