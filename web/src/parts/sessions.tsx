// The sessions on record of a link: which there are, what changed from one to the next, and how
// several specimens lie beside one another.
import { useEffect, useState } from "preact/hooks";
import { ask } from "../ask";
import { Table } from "../common";
import type { SessionsView } from "../contract";
import { Later } from "../later";

export function Sessions({ link, count, recorded }: { link: string; count: number; recorded: string }) {
  if (count === 0 && !recorded) return null;
  return (
    <Later
      class="block"
      urged={false}
      summary={
        <>
          <h2>Sessions</h2>
          <span class="soft">{count === 1 ? "one on record" : `${count} on record`}</span>
        </>
      }
    >
      {() => <All link={link} turn={`${count} ${recorded}`} />}
    </Later>
  );
}

function All({ link, turn }: { link: string; turn: string }) {
  const [view, setView] = useState<SessionsView | null>(null);
  const [failed, setFailed] = useState(false);
  useEffect(() => {
    let current = true;
    ask<SessionsView>(`/api/links/${encodeURIComponent(link)}/sessions`).then(
      (answer) => current && setView(answer),
      () => current && setFailed(true),
    );
    return () => {
      current = false;
    };
  }, [link, turn]);
  if (!view) return <p class="soft">{failed ? "The records could not be read." : "Reading the records …"}</p>;
  return (
    <>
      <Table
        name="Sessions on record"
        heads={["when", "specimen", "readings", "verdict", "what was suspected first"]}
        rows={view.sessions.map((session) => [
          session.when.slice(0, 16).replace("T", " "),
          session.specimen,
          String(session.readings),
          session.verdict,
          session.suspects[0] ?? "",
        ])}
      />
      {view.changes.length > 0 && (
        <>
          <h3>What changed by more than the meter's errors</h3>
          <Table
            name="What changed from session to session"
            heads={["reading", "before", "after"]}
            rows={view.changes.map((change) => [<b>{change.measure}</b>, change.before, change.after])}
          />
        </>
      )}
      {view.pooled.length > 0 && (
        <>
          <h3>Specimens beside one another</h3>
          <Table
            name="Specimens beside one another"
            heads={["reading", "right", "specimens"]}
            rows={view.pooled.map((one) => [
              <b>{one.measure}</b>,
              one.band,
              one.values
                .map((value) => `${value.specimen || "unnamed"}: ${value.text}${value.apart ? ", far from the others" : ""}`)
                .join("; "),
            ])}
          />
        </>
      )}
      {view.unreadable.map((line, index) => (
        <p key={index}>{line}</p>
      ))}
    </>
  );
}
