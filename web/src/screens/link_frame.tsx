// What stands around every screen of a link: the way of the work, saving, undo, and what happened
// to the file outside.
import { useEffect } from "preact/hooks";
import { RefusalNote } from "../common";
import type { BuildView, LinkView } from "../contract";
import { runOf } from "../jobs";
import { linkOf, type LinkStore } from "../link_store";
import { address, linkScreens, type LinkScreen } from "../route";
import { useStore } from "../store";
import { ticks } from "../ticks";
import { BenchScreen } from "./bench_screen";
import { BuildScreen } from "./build_screen";
import { CircuitScreen } from "./circuit_screen";
import { NeedScreen } from "./need_screen";
import { ProofScreen } from "./proof_screen";

const screens = {
  need: NeedScreen,
  circuit: CircuitScreen,
  proof: ProofScreen,
  build: BuildScreen,
  bench: BenchScreen,
};

export function LinkFrame({ id, screen }: { id: string; screen: LinkScreen }) {
  const link = useStore(linkOf(id));
  useStore(ticks);
  useEffect(() => void link.load(), [link]);
  useUndoKeys(link);
  const view = link.shown;
  useEffect(() => {
    document.title = `${view?.title || "Link"} · ${titles[screen]} · Gapwright`;
  }, [view?.title, screen]);
  const Screen = screens[screen];
  return (
    <>
      <header class="top link-top">
        <div class="name">
          <a class="back" href="#/" aria-label="Folder">
            <span class="wide-only">‹ Folder</span>
            <span class="narrow-only">‹</span>
          </a>
          <h1 title={view?.title}>{view?.title || view?.name || "Link"}</h1>
        </div>
        <nav aria-label="Way of the work">
          {linkScreens.map((name) => (
            <a key={name} href={address({ at: "link", id, screen: name })} aria-current={name === screen ? "page" : undefined}>
              <Sign state={view ? wayOf(view)[name] : "none"} />
              {titles[name]}
            </a>
          ))}
        </nav>
        {link.view && <Acts link={link} view={link.view} />}
      </header>
      {link.view && <Bands link={link} view={link.view} />}
      <main id="main" tabIndex={-1} class={`screen ${screen}`}>
        {link.refusal && !link.refusedAt && <RefusalNote refusal={link.refusal} onClose={() => link.dropRefusal()} />}
        {link.gone && <p>This link is not in the folder any more. What you typed is still here as long as this page is open.</p>}
        {view ? <Screen link={link} view={view} /> : !link.refusal && <p class="soft">Reading the link …</p>}
      </main>
    </>
  );
}

const titles: Record<LinkScreen, string> = {
  need: "Need",
  circuit: "Circuit",
  proof: "Proof",
  build: "Build",
  bench: "Bench",
};

type Standing = "kept" | "thin" | "unknown" | "broken" | "none";

// How far the work has come, step by step; told without the page's signs in words of the screens.
function wayOf(view: LinkView): Record<LinkScreen, Standing> {
  const bench: Record<string, Standing> = { good: "kept", faulty: "broken", joined: "broken", unexplained: "broken" };
  return {
    need: view.need ? "kept" : "none",
    circuit: !view.has_circuit
      ? "none"
      : view.problems.length > 0
        ? "broken"
        : view.to_choose.length > 0
          ? "thin"
          : view.judgement?.verdict === "broken"
            ? "none"
            : "kept",
    proof: view.judgement?.verdict ?? "none",
    build: standingOf(ticks.of(view.id)),
    bench: view.bench.sessions === 0 ? "none" : (bench[view.bench.verdict] ?? "unknown"),
  };
}

function standingOf(ticked: { done: number[]; of: number } | null): Standing {
  if (!ticked || ticked.done.length === 0) return "none";
  return ticked.done.length === ticked.of ? "kept" : "thin";
}

const signs: Record<Standing, string> = { kept: "✓", thin: "!", unknown: "?", broken: "✗", none: "" };

function Sign({ state }: { state: Standing }) {
  return (
    <span class={`sign ${state}`} aria-hidden="true">
      {signs[state]}{" "}
    </span>
  );
}

function Acts({ link, view }: { link: LinkStore; view: LinkView }) {
  const kept = link.trial ? "trying" : view.saved ? "saved" : "not saved";
  return (
    <div class="acts">
      <span class="soft" role="note">
        {link.saving ? "saving …" : kept}
      </span>
      <Past name="Undo" sign="↶" words={view.undo} onPress={() => link.undo()} />
      <Past name="Redo" sign="↷" words={view.redo} onPress={() => link.redo()} />
      <Export link={link} view={view} />
    </div>
  );
}

// Undo or redo, and what it would do. Not disabled, so that the keyboard stays on it.
function Past({ name, sign, words, onPress }: { name: string; sign: string; words: string; onPress: () => void }) {
  const id = `${name.toLowerCase()}-words`;
  return (
    <>
      <button type="button" aria-label={name} aria-disabled={!words} aria-describedby={id} title={words} onClick={() => words && onPress()}>
        <span class="wide-only">{name}</span>
        <span class="narrow-only">{sign}</span>
      </button>
      <span id={id} hidden>
        {words}
      </span>
    </>
  );
}

function Export({ link, view }: { link: LinkStore; view: LinkView }) {
  const base = `${link.path}/export?what=`;
  const state = (view.judgement ?? view.unjudged)?.state ?? "";
  const whole = view.has_circuit && !view.unjudged; // with values still to be chosen nothing can be built

  const schematic = `picture&name=${encodeURIComponent(`schematic-${state}`)}&as=`;
  const board = runOf<BuildView>(`build/${link.id}`).tag || "solderless";
  const files: [string, string, boolean][] = [
    ["Link file, TOML", "link", true],
    ["Report, HTML", "report", !!(view.judgement ?? view.unjudged)],
    ["Figures, JSON", "check", !!view.judgement],
    [`Schematic, state ${state}, SVG`, `${schematic}svg`, !!state],
    [`Schematic, state ${state}, PNG`, `${schematic}png`, !!state],
    [`Schematic, state ${state}, PDF`, `${schematic}pdf`, !!state],
    [`Build sheet, ${board} board, HTML`, `build&board=${board}`, whole],
    [`Plan, ${board} board, CSV`, `plan&board=${board}`, whole],
    [`Nodes, ${board} board, CSV`, `nodes&board=${board}`, whole],
    ["Parts to pull, CSV", `parts&board=${board}`, whole],
    ["Test sheet, HTML", "sheet", whole],
    ["Form for readings, CSV", "readings", whole],
  ];
  return (
    <details class="menu">
      <summary>Export</summary>
      <ul>
        {files
          .filter(([, , there]) => there)
          .map(([words, what]) => (
            <li key={what}>
              <a href={base + what} download>
                {words}
              </a>
            </li>
          ))}
      </ul>
    </details>
  );
}

function Bands({ link, view }: { link: LinkStore; view: LinkView }) {
  return (
    <>
      {link.elsewhere && !view.outside && (
        <div class="band">
          <p>Changed in another window: this one follows.</p>
          <button type="button" onClick={() => link.seen()}>
            Seen
          </button>
        </div>
      )}
      {view.trouble && (
        <div class="band" role="alert">
          <p>Not saved: {view.trouble}</p>
          <button type="button" onClick={() => link.save()}>
            Try again
          </button>
        </div>
      )}
      {view.outside && (
        <div class="band" role="alert">
          <p>{view.outside.text === null ? "This file was taken away outside." : "This file was changed outside."}</p>
          {view.outside.text !== null && (
            <button type="button" onClick={() => link.settle({ take: "file" })}>
              Take the file's
            </button>
          )}
          <button type="button" onClick={() => link.settle({ take: "mine" })}>
            Keep mine
          </button>
          {view.outside.text !== null && (
            <details>
              <summary>What stands there</summary>
              <pre tabIndex={0}>{view.outside.text}</pre>
            </details>
          )}
        </div>
      )}
    </>
  );
}

function useUndoKeys(link: LinkStore): void {
  useEffect(() => {
    const press = (event: KeyboardEvent) => {
      if (!(event.ctrlKey || event.metaKey) || event.altKey || event.key.toLowerCase() !== "z") return;
      const target = event.target as HTMLElement | null;
      if (target?.closest("input:not([type=range]), textarea, select")) return;
      event.preventDefault();
      if (event.shiftKey && link.view?.redo) link.redo();
      else if (!event.shiftKey && link.view?.undo) link.undo();
    };
    addEventListener("keydown", press);
    return () => removeEventListener("keydown", press);
  }, [link]);
}
