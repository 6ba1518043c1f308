// Why a screen has nothing to show of a link that is not judged, and where to go on.
import type { LinkView } from "../contract";
import type { LinkStore } from "../link_store";
import { address } from "../route";

export function FindValues({ link }: { link: LinkStore }) {
  return <a href={address({ at: "link", id: link.id, screen: "need" })}>Find values</a>;
}

export function NothingTo({ link, view, act }: { link: LinkStore; view: LinkView; act: "prove" | "build" | "measure" }) {
  if (view.unjudged) {
    return (
      <p class="note">
        There is nothing to {act} yet. {view.unjudged.words} <FindValues link={link} />
      </p>
    );
  }
  return (
    <p>
      There is nothing to {act}: {view.has_circuit ? "the file has problems, see Circuit." : "there is no circuit yet."}
    </p>
  );
}
