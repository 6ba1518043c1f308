// Which faults would explain what was read, the likeliest first.
import { useState } from "preact/hooks";
import type { Suspect } from "../contract";

export const first_told = 3;

export function Suspects({ suspects }: { suspects: Suspect[] }) {
  const [all, setAll] = useState(false);
  if (suspects.length === 0) return null;
  return (
    <>
      <h3>What would explain the readings</h3>
      <ol class="suspects" aria-label="Suspects">
        {(all ? suspects : suspects.slice(0, first_told)).map((suspect, index) => (
          <li key={index}>
            <b>{suspect.text}</b> <span class="share">{suspect.share}</span>
            {suspect.explained && <p class="soft">{suspect.explained}</p>}
            {suspect.alike && <p class="soft">No measurement tells it from the one before.</p>}
          </li>
        ))}
      </ol>
      {suspects.length > first_told && (
        <button type="button" class="quiet" onClick={() => setAll(!all)}>
          {all ? "the first three" : `${suspects.length - first_told} more`}
        </button>
      )}
    </>
  );
}
