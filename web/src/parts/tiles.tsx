// The links of the folder, a tile each: what it looks like, how it stands, and what can be done
// with its file.
import { useEffect, useRef, useState } from "preact/hooks";
import { VerdictWords } from "../common";
import type { FileEntry } from "../contract";
import { folder } from "../folder_store";
import { Picture } from "../picture";
import { address } from "../route";
import { useStore } from "../store";

export function Tiles({ entries }: { entries: FileEntry[] }) {
  const { trashed } = useStore(folder);
  const [sought, setSought] = useState("");
  const groups = byName(entries).filter((group) => group.some((entry) => matches(entry, sought)));
  return (
    <>
      {entries.length > 5 && (
        <p class="form">
          <label>
            Search
            <input type="search" value={sought} onInput={(event) => setSought(event.currentTarget.value)} />
          </label>
        </p>
      )}
      {trashed && (
        <div class="note case" role="status">
          <p>{trashed.to} is in the folder's trash.</p>
          <button type="button" onClick={() => void folder.takeOut(trashed)}>
            Take it out again
          </button>
        </div>
      )}
      {entries.length === 0 && <p class="soft">No link yet: begin with an example, a need or a blank sheet.</p>}
      {entries.length > 0 && groups.length === 0 && <p class="soft">No link of that name.</p>}
      <ul class="tiles" aria-label="Links">
        {groups.map((group) => (
          <Tile key={group[0]?.id} entries={group} />
        ))}
      </ul>
    </>
  );
}

// Need and link of one name stand together, the link first.
function byName(entries: FileEntry[]): FileEntry[][] {
  const groups = new Map<string, FileEntry[]>();
  for (const entry of entries) groups.set(entry.name, [...(groups.get(entry.name) ?? []), entry]);
  const rank = (entry: FileEntry) => (entry.note === "need" ? 1 : 0);
  return [...groups.values()].map((group) => group.sort((a, b) => rank(a) - rank(b)));
}

function matches(entry: FileEntry, sought: string): boolean {
  return `${entry.title} ${entry.file}`.toLowerCase().includes(sought.trim().toLowerCase());
}

function Tile({ entries }: { entries: FileEntry[] }) {
  const [first, ...others] = entries;
  const { tiles } = useStore(folder);
  const place = useRef<HTMLLIElement>(null);
  const tile = first && tiles.get(first.id);
  useEffect(() => {
    if (!first || tile || !place.current) return;
    const watch = new IntersectionObserver((seen) => seen.some((one) => one.isIntersecting) && folder.want(first.id));
    watch.observe(place.current);
    return () => watch.disconnect();
  }, [first?.id, tile]);
  if (!first) return null;
  return (
    <li class="tile" ref={place}>
      <div class={first.note === "need" && !tile?.drawing ? "tile-drawing none" : "tile-drawing"} aria-hidden="true">
        {tile?.drawing && <Picture svg={tile.drawing} />}
      </div>
      <h3>
        <a href={to(first)}>{first.title || first.name}</a>
      </h3>
      <p class="path soft small">
        {first.file}
        {first.note && ` · ${first.note}`}
      </p>
      <p class="small standing">
        {tile?.verdict && <VerdictWords verdict={tile.verdict} words={tile.verdict_words} />} {tile ? tile.words : "not looked at yet …"}
        {tile &&
          tile.bench.sessions > 0 &&
          ` Bench: ${tile.bench.sessions === 1 ? "one session" : `${tile.bench.sessions} sessions`}, the last ${tile.bench.verdict}.`}
      </p>
      {others.map((entry) => (
        <p key={entry.id} class="small">
          <a href={to(entry)}>{entry.note === "need" ? `Its need: ${entry.title}` : entry.title}</a>
        </p>
      ))}
      <FileActs entry={first} />
    </li>
  );
}

function to(entry: FileEntry): string {
  return address({ at: "link", id: entry.id, screen: entry.note === "need" ? "need" : "circuit" });
}

function FileActs({ entry }: { entry: FileEntry }) {
  const [naming, setNaming] = useState<"rename" | "copy" | null>(null);
  const [name, setName] = useState("");
  const begin = (what: "rename" | "copy") => {
    setName(what === "copy" ? `${entry.name}-2` : entry.name);
    setNaming(what);
  };
  const done = async () => {
    const ok =
      naming === "copy"
        ? (await folder.create({ name, from: "copy", source: entry.id, values: {} })) !== null
        : await folder.rename(entry.id, name);
    if (ok) setNaming(null);
    if (ok && naming === "copy") void folder.load();
  };
  if (naming) {
    return (
      <form
        class="row"
        onSubmit={(event) => {
          event.preventDefault();
          void done();
        }}
      >
        <label class="unseen" for={`name-of-${entry.id}`}>
          {naming === "copy" ? `Name of the copy of ${entry.title}` : `New name of ${entry.title}`}
        </label>
        <input id={`name-of-${entry.id}`} value={name} onInput={(event) => setName(event.currentTarget.value)} />
        <button type="submit">{naming === "copy" ? "Copy" : "Rename"}</button>
        <button type="button" class="quiet" onClick={() => setNaming(null)}>
          Leave it
        </button>
      </form>
    );
  }
  return (
    <p class="row tile-acts">
      <button type="button" class="quiet" aria-label={`Rename ${entry.title}`} onClick={() => begin("rename")}>
        Rename
      </button>
      <button type="button" class="quiet" aria-label={`Copy ${entry.title}`} onClick={() => begin("copy")}>
        Copy
      </button>
      <button type="button" class="quiet" aria-label={`Put ${entry.title} into the trash`} onClick={() => void folder.trash(entry.id)}>
        Trash
      </button>
    </p>
  );
}
