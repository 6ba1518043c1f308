// The head of a screen that is not a link's.
import { useEffect } from "preact/hooks";
import { folder } from "../folder_store";
import { useStore } from "../store";

export function Top({ title, note, home }: { title: string; note?: string; home?: boolean }) {
  const name = useStore(folder).view?.name;
  useEffect(() => {
    document.title = `${title} · Gapwright`;
  }, [title]);
  return (
    <header class="top">
      {home ? (
        <p class="mark">Gapwright</p>
      ) : (
        <a class="back" href="#/">
          ‹ {name ?? "Folder"}
        </a>
      )}
      <h1>{title}</h1>
      {note && <p class="soft">{note}</p>}
    </header>
  );
}
