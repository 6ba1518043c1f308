// The evidence: pictures by section, and every value worked out.
import { useEffect, useState } from "preact/hooks";
import { ask, Ended, refusalFrom } from "../ask";
import { RefusalNote, Steps, VerdictSentence } from "../common";
import type { LinkView, ProofView, Refusal } from "../contract";
import type { LinkStore } from "../link_store";
import { NothingTo } from "../parts/nothing";
import { Promises, Ratings } from "../parts/promises";
import { Figure } from "../picture";
import { heart } from "../pulse";
import { useStore } from "../store";

const proofs = new Map<string, ProofView>();

export function ProofScreen({ link, view }: { link: LinkStore; view: LinkView }) {
  const up = useStore(heart).state === "up";
  const [, redraw] = useState(0);
  const [refusal, setRefusal] = useState<Refusal | null>(null);
  const revision = link.view?.revision ?? 0;
  useEffect(() => {
    if (!link.view?.judgement || !up || proofs.get(link.id)?.revision === revision) return;
    ask<ProofView>(`${link.path}/proof`).then(
      (proof) => {
        proofs.set(link.id, proof);
        setRefusal(null);
        redraw((count) => count + 1);
      },
      (error: unknown) => error instanceof Ended || setRefusal(refusalFrom(error)),
    );
  }, [link, revision, up, !!link.view?.judgement]);
  const proof = proofs.get(link.id);
  if (!view.judgement) return <NothingTo link={link} view={view} act="prove" />;
  return (
    <>
      <VerdictSentence judgement={view.judgement} />
      {refusal && <RefusalNote refusal={refusal} />}
      {!proof && !refusal && <p class="soft">Drawing the proof …</p>}
      {proof && proof.revision !== revision && <p class="soft">Of the link before its last change; the new proof is being drawn …</p>}
      {/* A telephone cuts the bars of the pictures: the same as a list. */}
      <section class="only-narrow">
        <h2>Promises</h2>
        <Promises link={link} promises={view.judgement.promises} settings={view.settings} />
        <Ratings ratings={view.judgement.ratings} />
      </section>
      {proof?.sections.map((section) => (
        <section key={section.name}>
          <h2>{section.name}</h2>
          <div class="figures">
            {section.pictures.map((picture) => (
              <Figure key={picture.name} svg={picture.svg} caption={picture.caption}>
                <PictureFiles base={`${link.path}/export?what=picture`} name={picture.name} caption={picture.caption} />
              </Figure>
            ))}
          </div>
        </section>
      ))}
      {proof && proof.emitters.list.length > 0 && (
        <section>
          <h2>{proof.emitters.name}</h2>
          <ul>
            {proof.emitters.list.map((emitter) => (
              <li key={emitter.title}>
                {emitter.title}: {emitter.lines.join(" · ")}
              </li>
            ))}
          </ul>
        </section>
      )}
      {proof && proof.steps.length > 0 && (
        <section>
          <h2>Worked steps</h2>
          <Steps steps={proof.steps} level={3} />
        </section>
      )}
    </>
  );
}

function PictureFiles({ base, name, caption }: { base: string; name: string; caption: string }) {
  return (
    <span class="files">
      {["svg", "png", "pdf"].map((kind) => (
        <a
          key={kind}
          href={`${base}&name=${encodeURIComponent(name)}&as=${kind}`}
          download
          aria-label={`${caption}, ${kind.toUpperCase()}`}
        >
          {kind.toUpperCase()}
        </a>
      ))}
    </span>
  );
}
