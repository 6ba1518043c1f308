// Whether the program answers what web/src/contract.ts says, field by field: its answers become
// constants of the contract's types, and the compiler of the page looks at them. It refuses a field
// that is missing, one too many, and one of another kind. No browser is needed.
//
// Environment: as page_scene.mjs.
import assert from "node:assert/strict";
import { spawnSync } from "node:child_process";
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { test } from "node:test";
import { exampleText, folderWith, project, Served } from "./page_scene.mjs";

const compiler = join(project, "web/node_modules/.bin/tsc");

async function asker(served) {
  const opened = await fetch(served.opening, { redirect: "manual" });
  const cookie = opened.headers.get("set-cookie").split(";")[0];
  return async (path, body) => {
    const answer = await fetch(served.origin + path, body === undefined ? { headers: { cookie } } : {
      method: "POST", body: JSON.stringify(body),
      headers: { cookie, "content-type": "application/json", origin: served.origin },
    });
    return answer.json();
  };
}

async function finished(ask, order) {
  let job = await ask("/api/jobs", order);
  while (job.state === "running") {
    await new Promise((resolve) => setTimeout(resolve, 50));
    job = await ask(`/api/jobs/${job.id}`);
  }
  return job;
}

// What the program answers, each with the type that the contract gives it.
async function answers(ask) {
  const folder = await ask("/api/folder");
  const idOf = (file) => Object.values(folder).flat().find((entry) => entry?.file === file)?.id ?? assert.fail(file);
  const link = `/api/links/${idOf("bell-hammer.link.toml")}`;
  const id = link.split("/").pop();
  const view = await ask(`${link}?state=`);
  const edit = { edits: [{ at: ["parts", "R1", "value"], text: "3.3 kOhm" }], revision: view.revision, state: "", samples: 500 };
  const card = `/api/cards/${idOf("ours.card.toml")}`;
  const stands = await ask(card);
  const trial = { text: stands.text, edits: [{ at: ["transfer", "ctr"], text: "90 % at 5 mA" }] };
  const told = [
    ["FolderView", folder],
    ["LinkView", view],
    ["LinkView", await ask(`${link}/try`, edit)],
    ["LinkView", await ask(`${link}/try`, { ...edit, edits: [{ at: ["parts", "R1", "value"], text: "nonsense" }] })],
    ["LinkView", await ask(`/api/links/${idOf("lamp.link.toml")}`)],
    ["LinkView", await ask(`/api/links/${idOf("wanted.link.toml")}`)],
    ["LinkView", await ask(`/api/links/${idOf("open.link.toml")}`)],
    ["LinkTile", await ask(`${link}/tile`)],
    ["PartDetail", await ask(`${link}/part?name=R1`)],
    ["CaseView", await ask(`${link}/case?promise=0&end=lowest&state=on`)],
    ["ProofView", await ask(`${link}/proof`)],
    ["Pulse", await ask("/api/pulse")],
    ["CardView", await ask(`/api/cards/${folder.cards[0].id}`)],
    ["CardView", await ask(card)],
    ["CardView", await ask(`${card}/try`, trial)],
    ["CardView", await ask(`${card}/try`, { ...trial, edits: [...trial.edits, { at: ["transfer", "base_share"], text: "0.5" }] })],
    ["CardView", await ask(`${card}/save`, { text: `${stands.text}# seen\n`, replaces: stands.text })],
    ["Refusal", await ask(`${card}/save`, { text: "", replaces: stands.text })],
    ["DrawerView", await ask(`/api/drawers/${idOf("drawer.csv")}`)],
    ["Refusal", await ask("/api/links/nobody")],
    ["Refusal", await ask(`${link}/rename`, { name: "../x" })],
  ];
  const design = await finished(ask, { work: "design", link: idOf("wanted.link.toml") });
  const build = await finished(ask, { work: "build", link: id, board: "strip" });
  const sheet = await finished(ask, { work: "sheet", link: id, board: "" });
  const line = sheet.result.lines.find((one) => one.measure.startsWith("resistance across R1"));
  const readings = { readings: [{ id: line.id, text: "33k" }, { id: "nothing", text: "1" }], who: "the night shift" };
  const bench = await finished(ask, { work: "readings", link: id, readings });
  const board = await finished(ask, { work: "board", link: id, board: "grid" });
  const failed = await finished(ask, { work: "build", link: idOf("wanted.link.toml"), board: "strip" });
  told.push(
    ["JobView", design], ["DesignView", design.result], ["JobView", build], ["BuildView", build.result],
    ["JobView", sheet], ["SheetView", sheet.result], ["JobView", bench], ["BenchView", bench.result],
    [failed.error === undefined ? "JobView" : "Refusal", failed],
    ["LeadsView", await ask(`${link}/leads?reading=${encodeURIComponent(line.id)}`)],
    ["JobView", board], ["BoardView", board.result],
    ["LeadsView", await ask(`${link}/leads?reading=${encodeURIComponent(line.id)}&board=grid&suspects=R1%20Q1`)],
    ["Recorded", await ask(`${link}/record`, readings)],
    ["Recorded", await ask(`${link}/record`, { ...readings, who: "the day shift", readings: [{ id: line.id, text: "331" }] })],
    ["SessionsView", await ask(`${link}/sessions`)],
    ["LinkView", await ask(`${link}?state=on`)],
    ["FolderView", await ask(`${link}/trash`, {})],
  );
  return told;
}

test("the program answers what the contract says", { timeout: 600_000 }, async () => {
  const served = await Served.start(folderWith({
    "bell-hammer.link.toml": "bell-hammer.link.toml", "lamp.link.toml": "lamp-watch.link.toml",
    "wanted.link.toml": "needs/pendulum-beat.link.toml", "drawer.csv": "needs/drawer.csv",
    "ours.card.toml": { text: 'name = "Ours"\nbased_on = "four-pin-coupler-a"\n[spread]\nideality = "± 5 %"\n' },
    "open.link.toml": { text: exampleText("speed/night-silence.link.toml") },
  }));
  const scratch = mkdtempSync(join(project, "web/src/answers-"));
  try {
    const told = await answers(await asker(served));
    const types = [...new Set(told.map(([type]) => type))].sort();
    const lines = told.map(([type, answer], k) => `export const answer${k}: ${type} = ${JSON.stringify(answer)};`);
    const text = [`import type { ${types.join(", ")} } from "../contract";`, ...lines, ""].join("\n");
    writeFileSync(join(scratch, "answers.ts"), text);
    const judged = (file) => spawnSync(compiler, ["--noEmit", "--strict", "--target", "es2022", "--module", "esnext",
      "--moduleResolution", "bundler", "--skipLibCheck", "--ignoreConfig", file], { encoding: "utf8", cwd: scratch });
    const verdict = judged("answers.ts");
    assert.equal(verdict.status, 0, verdict.stdout.slice(0, 4000));
    assert.ok(types.length >= 16, `${types.length} types`);
    // The compiler does look: a field too many, and one that is missing.
    const [, first] = told.find(([type]) => type === "LinkTile");
    const { words, ...less } = first;
    for (const wrong of [{ ...first, more: 1 }, less]) {
      writeFileSync(join(scratch, "wrong.ts"), `import type { LinkTile } from "../contract";\nexport const wrong: LinkTile = ${JSON.stringify(wrong)};\n`);
      assert.notEqual(judged("wrong.ts").status, 0, `${words} …`);
    }
  } finally {
    rmSync(scratch, { recursive: true, force: true });
    await served.endAndRemove();
  }
});
