// Small things that several screens show.
import type { ComponentChildren } from "preact";
import type { Judgement, Problem, Refusal, Verdict } from "./contract";
import type { Run } from "./jobs";

export function VerdictWords({ verdict, words }: { verdict: Verdict; words: string }) {
  return <strong class={`verdict ${verdict}`}>{words}</strong>;
}

// The whole of the proof in one sentence.
export function VerdictSentence({ judgement }: { judgement: Judgement }) {
  return (
    <p class="sentence">
      <VerdictWords verdict={judgement.verdict} words={judgement.verdict_words} /> {judgement.sentence}
    </p>
  );
}

// What is wrong, and what would be right, in one sentence.
export function withRemedy(message: string, remedy: string): string {
  if (!remedy) return message;
  return /[.;:!?]$/.test(message) ? `${message} ${remedy}` : `${message}; ${remedy}`;
}

export function RefusalNote({ refusal, onClose }: { refusal: Refusal; onClose?: () => void }) {
  return (
    <div class="refusal" role="alert">
      <p>
        <strong>{withRemedy(refusal.error, refusal.remedy)}</strong>
      </p>
      {refusal.problems.map((problem, index) => (
        <ProblemNote key={index} problem={problem} />
      ))}
      {onClose && (
        <button type="button" onClick={onClose}>
          Put away
        </button>
      )}
    </div>
  );
}

export function ProblemNote({ problem }: { problem: Problem }) {
  return (
    <div class="problem">
      <p>
        <strong>✗ {withRemedy(problem.message, problem.remedy)}</strong>
        {problem.line > 0 && <span class="soft"> line {problem.line}</span>}
      </p>
      {problem.excerpt && <pre tabIndex={0}>{placeOf(problem.excerpt)}</pre>}
    </div>
  );
}

// The words stand above already: of the terminal's form only the line and the caret.
function placeOf(excerpt: string): string {
  const lines = excerpt.split("\n").filter((line) => /^\s*\d*\s*\|/.test(line));
  return lines.length > 0 ? lines.join("\n") : excerpt;
}

export function Steps({ steps, level }: { steps: { title: string; lines: string[] }[]; level: 3 | 4 }) {
  const Head = `h${level}` as const;
  return (
    <div class="steps">
      {steps.map((step, index) => (
        <section key={index}>
          <Head>{step.title}</Head>
          <ol>
            {step.lines.map((line, at) => (
              <li key={at}>{line}</li>
            ))}
          </ol>
        </section>
      ))}
    </div>
  );
}

export function Table({ name, heads, rows }: { name: string; heads: string[]; rows: ComponentChildren[][] }) {
  return (
    <div class="scroll" tabIndex={0} role="group" aria-label={name}>
      <table>
        <caption>{name}</caption>
        <thead>
          <tr>
            {heads.map((head) => (
              <th key={head} scope="col">
                {head}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {rows.map((row, index) => (
            <tr key={index}>
              {row.map((cell, at) => (
                <td key={at} class={typeof cell === "string" && cell.length <= 12 ? "tight" : ""}>
                  {cell}
                </td>
              ))}
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}

export function Cautions({ texts }: { texts: string[] }) {
  if (texts.length === 0) return null;
  return (
    <section class="cautions" aria-label="Cautions">
      <h2>Cautions</h2>
      <ul>
        {texts.map((text, index) => (
          <li key={index}>{text}</li>
        ))}
      </ul>
    </section>
  );
}

// Of work that takes longer: how far it is, and a way to end it.
export function Progress({ run, name }: { run: Run<unknown>; name: string }) {
  if (run.refusal) return <RefusalNote refusal={run.refusal} />;
  if (!run.running) {
    return run.view?.state === "stopped" ? <p class="soft">Stopped. {run.view.progress}</p> : null;
  }
  const share = run.view?.share ?? -1;
  return (
    <div class="progress">
      {share < 0 ? <progress aria-label={name} /> : <progress aria-label={name} max={1} value={share} />}
      <span>{run.stopping ? "Stopping: what was found so far is put in order …" : run.view?.progress || "Begins …"}</span>
      <button type="button" disabled={run.stopping} onClick={() => void run.stop()}>
        Stop
      </button>
    </div>
  );
}
