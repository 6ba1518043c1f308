// What lies in the folder, and what can be begun.
import { useState } from "preact/hooks";
import { RefusalNote } from "../common";
import type { FileEntry } from "../contract";
import { folder } from "../folder_store";
import { Picture } from "../picture";
import { NewLinkForm } from "../parts/new_link";
import { Tiles } from "../parts/tiles";
import { address, place } from "../route";
import { useStore } from "../store";
import { Top } from "./top";

export function FolderScreen() {
  const { view, refusal } = useStore(folder);
  const [making, setMaking] = useState(false); // what was refused is told where it was asked
  const cards = view?.cards ?? [];
  const own = cards.filter((card) => card.file);
  const shipped = cards.filter((card) => !card.file);
  return (
    <>
      <Top title={view?.name ?? "Folder"} home />
      {view?.trouble && (
        <div class="band" role="alert">
          {view.trouble}
        </div>
      )}
      <main id="main" tabIndex={-1} class="screen folder">
        {refusal && !(making && view) && <RefusalNote refusal={refusal} onClose={() => folder.drop()} />}
        {!view && !refusal && <p class="soft">Reading the folder …</p>}
        {view && (
          <>
            <section>
              <h2>Links</h2>
              <p class="soft">
                A link lets one circuit control another by light, with no wire between them: from what is needed to the proven circuit, the
                board and the bench.
              </p>
              <NewLinkForm folder={view} refusal={making ? refusal : null} onMake={() => setMaking(true)} />
              <Tiles entries={view.links} />
            </section>
            <section>
              <h2>Cards</h2>
              <p>
                <a class="button" href={address({ at: "fit" })}>
                  Fit a card
                </a>
              </p>
              <Entries
                name="Cards of the folder"
                entries={own}
                to={(entry) => address({ at: "card", id: entry.id })}
                none="No card of your own."
              />
              <details class="block">
                <summary>
                  <h3>Shipped cards</h3>
                  <span class="soft">{shipped.length}</span>
                </summary>
                <Entries name="Shipped cards" entries={shipped} to={(entry) => address({ at: "card", id: entry.id })} none="None." />
              </details>
            </section>
            <section>
              <h2>Charts</h2>
              <ChartPut onPut={() => setMaking(false)} />
              <Entries
                name="Charts"
                entries={view.charts}
                to={(entry) => address({ at: "chart", id: entry.id })}
                none="No picture of a chart: PNG and JPEG files of the folder stand here."
              />
            </section>
            <section>
              <h2>Drawers and points</h2>
              <Entries
                name="Drawers"
                entries={view.drawers}
                to={(entry) => address({ at: "drawer", id: entry.id })}
                none="No drawer: a CSV file of the parts at hand."
              />
              <Entries name="Points" entries={view.points} none="" />
            </section>
          </>
        )}
      </main>
    </>
  );
}

interface EntriesProps {
  name: string;
  entries: FileEntry[];
  to?: (entry: FileEntry) => string;
  none: string;
}

function Entries({ name, entries, to, none }: EntriesProps) {
  if (entries.length === 0) return none ? <p class="soft">{none}</p> : null;
  return (
    <ul class={entries[0]?.picture === undefined ? "entries" : "entries pictured"} aria-label={name}>
      {entries.map((entry) => {
        const title = entry.title || entry.name;
        return (
          <li key={entry.id}>
            {entry.picture !== undefined && <Picture class="kind-symbol" svg={entry.picture} />}
            {to ? <a href={to(entry)}>{title}</a> : <b>{title}</b>}
            <span class="soft path">{entry.file}</span>
            <span class="soft">{entry.note}</span>
          </li>
        );
      })}
    </ul>
  );
}

function ChartPut({ onPut }: { onPut: () => void }) {
  const [busy, setBusy] = useState(false);
  const put = async (file: File | undefined) => {
    if (!file) return;
    setBusy(true);
    onPut();
    const before = new Set(folder.view?.charts.map((chart) => chart.id));
    const done = await folder.putChart(file);
    setBusy(false);
    const fresh = folder.view?.charts.find((chart) => !before.has(chart.id));
    if (done && fresh) place.go({ at: "chart", id: fresh.id });
  };
  return (
    <p class="form">
      <label>
        Read a chart: put a picture in
        <input type="file" accept="image/png,image/jpeg" disabled={busy} onChange={(event) => void put(event.currentTarget.files?.[0])} />
      </label>
    </p>
  );
}
