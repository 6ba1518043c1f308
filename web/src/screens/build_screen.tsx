// The build sheet of one board: what to pull, where it goes, and one step after the other.
import { useEffect, useState } from "preact/hooks";
import { Cautions, Progress, Table } from "../common";
import type { BuildView, LinkView } from "../contract";
import { runOf } from "../jobs";
import type { LinkStore } from "../link_store";
import { Bands } from "../parts/bands";
import { NothingTo } from "../parts/nothing";
import { Paper } from "../paper";
import { useStore } from "../store";
import { ticks } from "../ticks";

export const boards = [
  { name: "solderless", title: "solderless board" },
  { name: "strip", title: "strip board" },
  { name: "grid", title: "grid board" },
];

export function BuildScreen({ link, view }: { link: LinkStore; view: LinkView }) {
  const run = useStore(runOf<BuildView>(`build/${link.id}`));
  const ready = !!link.view?.judgement;
  const plan = (board: string) => void run.start({ work: "build", link: link.id, board }, link.view?.revision, board);
  useEffect(() => {
    if (ready && !run.result && !run.running && !run.refusal) plan("solderless");
  }, [link, ready]);
  if (!view.judgement) return <NothingTo link={link} view={view} act="build" />;
  const build = run.result;
  return (
    <>
      <div class="row">
        <fieldset class="radios">
          <legend>board</legend>
          {(build?.boards ?? boards).map((board) => (
            <label key={board.name}>
              <input type="radio" name="board" value={board.name} checked={run.tag === board.name} onChange={() => plan(board.name)} />
              {board.title}
            </label>
          ))}
        </fieldset>
        {!run.running && run.revision !== link.view?.revision && build && (
          <p class="note">
            The link has changed since this plan.{" "}
            <button type="button" onClick={() => plan(run.tag)}>
              Plan again
            </button>
          </p>
        )}
      </div>
      <Progress run={run} name="Plan of the board" />
      {build && (
        <div class={run.running ? "stale" : ""}>
          <Stepper key={`${build.board}/${run.revision}`} link={link.id} build={build} />
          <section>
            <h2>Board plan</h2>
            {build.plan.map((picture) => (
              <figure key={picture.name}>
                <Paper svg={picture.svg} label={picture.caption} smallest={11} byItself={2} centre={() => ({ x: 0.5, y: 0.5 })} />
                <figcaption>{picture.caption}</figcaption>
              </figure>
            ))}
          </section>
          <section>
            <h2>Parts to pull</h2>
            <Table
              name="Parts to pull"
              heads={["part", "what", "bands", "drawer"]}
              rows={build.parts.map((part) => [
                <b>{part.names}</b>,
                part.text,
                part.bands && (
                  <>
                    <Bands colours={part.bands.split(/[^a-z]+/)} /> {part.bands}
                  </>
                ),
                <>
                  {part.missing && <strong>to be bought </strong>}
                  {part.drawer.filter((line) => !part.missing || line !== "to be bought").join("; ")}
                </>,
              ])}
            />
          </section>
          {build.insulation.length > 0 && (
            <section>
              <h2>Isolation on the board</h2>
              <ul>
                {build.insulation.map((line, index) => (
                  <li key={index}>{line}</li>
                ))}
              </ul>
            </section>
          )}
        </div>
      )}
    </>
  );
}

function Stepper({ link, build }: { link: string; build: BuildView }) {
  const [at, setAt] = useState(0);
  const plan = `${build.board}, ${build.words}`;
  const done = useStore(ticks).done(link, plan);
  const step = build.steps[at];
  if (!step) return null;
  const last = build.steps.length - 1;
  // A step that adds nothing shows the board as it is by then.
  const before = build.steps.slice(0, at + 1).findLast((other) => other.picture)?.picture;
  const picture = before ?? build.plan[0]?.svg ?? "";
  return (
    <section aria-label="Steps" class="stepper">
      <div class="row">
        <h2>
          Steps <span class="soft">{build.words}</span>
        </h2>
        <p class="buttons" role="group" aria-label="Go through the steps">
          <button type="button" disabled={at === 0} onClick={() => setAt(at - 1)}>
            ‹ Previous
          </button>
          <span aria-live="polite">
            step {at + 1} of {build.steps.length}
          </span>
          <button type="button" disabled={at === last} onClick={() => setAt(at + 1)}>
            Next ›
          </button>
        </p>
      </div>
      <div class="step-pair">
        <article class={step.check ? "stop" : ""} aria-label={`Step ${at + 1}`}>
          <h3>
            {step.check && !step.title.startsWith("Stop and check") && "Stop and check: "}
            {step.title}
          </h3>
          <ul>
            {step.lines.map((line, index) => (
              <li key={index}>{line}</li>
            ))}
          </ul>
          {!step.picture && (
            <p class="soft small">{before ? "Beside it the board as it is by now." : "Beside it the board as it will be."}</p>
          )}
          <label class="inline">
            <input type="checkbox" checked={done.has(at)} onChange={() => ticks.tick(link, plan, at, build.steps.length)} /> done
          </label>
          {at === 0 && <Cautions texts={build.cautions} />}
        </article>
        {picture && (
          <Paper
            key={at === 0 ? 0 : 1}
            svg={picture}
            label={`Picture of step ${at + 1}`}
            smallest={11}
            byItself={2}
            centre={() => ({ x: 0.5, y: 0.5 })}
          />
        )}
        <ol class="jump" aria-label="All steps">
          {build.steps.map((other, index) => (
            <li key={index}>
              <button type="button" aria-current={index === at ? "step" : undefined} onClick={() => setAt(index)}>
                <span aria-hidden="true">{done.has(index) ? "✓ " : ""}</span>
                {index + 1}. {other.title}
                {other.check && <span class="soft"> · check</span>}
                {done.has(index) && <span class="unseen"> done</span>}
              </button>
            </li>
          ))}
        </ol>
      </div>
    </section>
  );
}
