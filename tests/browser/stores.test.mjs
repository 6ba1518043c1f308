// What the page keeps and asks, without a browser: its stores against a program that is played here.
import assert from "node:assert/strict";
import { createRequire } from "node:module";
import { join } from "node:path";
import { before, test } from "node:test";
import { project } from "./page_scene.mjs";

const web = join(project, "web");
let page;
let program; // what answers: (path, body) => { status, json } or a promise of it

before(async () => {
  const { build } = createRequire(join(web, "package.json"))("esbuild");
  globalThis.location = { hash: "", origin: "http://page" };
  globalThis.document = { visibilityState: "visible", addEventListener() {}, documentElement: { dataset: {} } };
  globalThis.sessionStorage = new Map();
  sessionStorage.getItem = (key) => sessionStorage.get(key) ?? null;
  sessionStorage.setItem = (key, text) => sessionStorage.set(key, text);
  sessionStorage.removeItem = (key) => sessionStorage.delete(key);
  globalThis.addEventListener = () => {};
  globalThis.fetch = async (path, { body, signal } = {}) => {
    const answer = await program(path, body ? JSON.parse(body) : undefined, signal);
    signal?.throwIfAborted();
    return { ok: answer.status < 300, status: answer.status, text: async () => JSON.stringify(answer.json) };
  };
  const made = await build({
    stdin: {
      contents: 'export * from "./src/link_lane"; export * from "./src/route"; export * from "./src/link_store"; export * from "./src/e24"; export * from "./src/card_store";',
      resolveDir: web, loader: "ts",
    },
    bundle: true, write: false, format: "esm", platform: "neutral", jsx: "automatic", jsxImportSource: "preact",
  });
  page = await import(`data:text/javascript;base64,${Buffer.from(made.outputFiles[0].text).toString("base64")}`);
});

const turn = () => new Promise((resolve) => setTimeout(resolve, 5));

function gate() {
  let open;
  const passed = new Promise((resolve) => (open = resolve));
  return { passed, open };
}

test("addresses lead where they say, and strange ones to the folder", () => {
  for (const route of [{ at: "folder" }, { at: "link", id: "a b/ü", screen: "bench" }, { at: "card", id: "c" }, { at: "fit" }, { at: "chart", id: "%" }]) {
    assert.deepEqual(page.routeOf(page.address(route)), route);
  }
  assert.deepEqual(page.routeOf("#/link/x/nowhere"), { at: "link", id: "x", screen: "circuit" });
  assert.deepEqual(page.routeOf("#/link/%E0%A4%A/proof"), { at: "folder" });
});

test("of trials only the newest waits, and an edit goes before them", async () => {
  const seen = [];
  const first = gate();
  const lane = new page.Lane(async (edits, signal) => {
    seen.push(edits[0].text);
    if (edits[0].text === "1") await first.passed;
    seen.push(signal.aborted ? "given up" : "done");
  }, () => {});
  for (const text of ["1", "2", "3"]) lane.offer([{ at: ["x"], text }]);
  await turn();
  assert.deepEqual(seen, ["1"]);
  lane.act(async () => void seen.push("edit"));
  assert.equal(lane.waiting, 1);
  first.open();
  await turn();
  assert.deepEqual(seen, ["1", "given up", "edit"], "what was tried before an edit is not tried after it");
  assert.equal(lane.waiting, 0);
});

test("what nobody answered stays at the head until the program is back", async () => {
  let there = false;
  const done = [];
  const lane = new page.Lane(async () => {}, () => {});
  lane.act(async () => {
    if (!there) throw new Error("ended");
    done.push("first");
  });
  lane.act(async () => void done.push("second"));
  await turn();
  assert.deepEqual(done, []);
  assert.equal(lane.waiting, 2);
  there = true;
  lane.release();
  await turn();
  assert.deepEqual(done, ["first", "second"]);
});

const viewOf = (revision, text) => ({
  id: "l", name: "l", file: "l.link.toml", title: "L", about: "", revision, text, saved: true, trouble: "", outside: null, undo: "",
  redo: "", problems: [], need: null, has_circuit: true, to_choose: [], judgement: null, unjudged: null,
  bench: { sessions: 0, verdict: "" }, parts: [], settings: [],
});

test("an edit of an older text is asked again for the newer one, once", async () => {
  const asked = [];
  program = async (path, body) => {
    asked.push([path.replace(/\?.*/, ""), body?.revision]);
    if (!body) return { status: 200, json: viewOf(asked.length > 1 ? 2 : 1, "of another") };
    if (body.revision === 1) return { status: 409, json: { error: "changed meanwhile", remedy: "", problems: [] } };
    return { status: 200, json: viewOf(3, "both") };
  };
  const link = new page.LinkStore("l");
  await link.load();
  const slow = gate();
  const answer = program;
  program = async (...asking) => {
    await slow.passed;
    return answer(...asking);
  };
  link.commit([{ at: ["parts", "R1", "value"], text: "1 kΩ" }]);
  await turn();
  assert.equal(link.saving, true, "the disk has not said yet that it holds it");
  assert.equal(link.owing, true);
  slow.open();
  await turn();
  assert.equal(link.saving, false);
  assert.equal(link.view.text, "both");
  assert.deepEqual(asked, [["/api/links/l", undefined], ["/api/links/l/edit", 1], ["/api/links/l", undefined], ["/api/links/l/edit", 2]]);
});

test("what is refused is told at its value, and the link stays", async () => {
  program = async (path, body) => body
    ? { status: 422, json: { error: "this is no resistance", remedy: "330 Ω", problems: [] } }
    : { status: 200, json: viewOf(1, "as it was") };
  const link = new page.LinkStore("m");
  await link.load();
  link.commit([{ at: ["parts", "R1", "value"], text: "many" }]);
  await turn();
  assert.equal(link.refusal.error, "this is no resistance");
  assert.deepEqual(link.refusedAt, ["parts", "R1", "value"]);
  assert.equal(link.view.text, "as it was");
  assert.equal(link.saving, false);
});

test("a draft of the whole file outlives a reload, and is gone when it is taken back", () => {
  const link = new page.LinkStore("d");
  link.setDraft("title = ");
  const again = new page.LinkStore("d");
  assert.equal(again.draft, "title = ");
  assert.equal(again.restored, true);
  again.setDraft(null);
  assert.equal(new page.LinkStore("d").draft, null);
});

const cardOf = (text, refused = []) => ({
  id: "c", name: "c", title: "C", kind: "led", shipped: false, text, groups: [], findings: [], charts: [], problems: [], refused,
});
const gain = ["model", "gain"];
// A program whose card is its base text with every edit behind it.
const cardProgram = (disk, slow = {}) => async (path, body) => {
  const verb = path.replace(/.*\//, "");
  await slow[verb]?.passed;
  if (verb === "save") {
    if (body.replaces !== disk.text) return { status: 409, json: { error: "changed outside", remedy: "", problems: [] } };
    disk.text = body.text;
  }
  return { status: 200, json: cardOf(verb === "try" ? body.text + body.edits.map((edit) => ` ${edit.text}`).join("") : disk.text) };
};

test("what is typed while a card is saved stays typed, on top of what was saved", async () => {
  const disk = { text: "card" };
  const slow = { save: gate() };
  program = cardProgram(disk, slow);
  const card = new page.CardStore("c");
  await card.read();
  assert.equal(card.touched, false);
  card.type(gain, "200");
  assert.equal(card.touched, true);
  const saved = card.save(); // judged first, without waiting for the keys to rest
  await turn();
  card.type(gain, "300");
  slow.save.open();
  await saved;
  assert.equal(disk.text, "card 200");
  assert.equal(card.touched, true);
  await card.save();
  assert.equal(disk.text, "card 200 300");
  assert.equal(card.touched, false);
});

test("a card that is read anew takes nothing away that is being typed", async () => {
  const disk = { text: "card" };
  program = cardProgram(disk);
  const card = new page.CardStore("c");
  await card.read();
  const slow = { c: gate() };
  program = cardProgram(disk, slow);
  const again = card.read();
  card.type(gain, "200");
  slow.c.open();
  await again;
  assert.equal(card.typedAt(gain)?.text, "200");
  disk.text = "of another";
  await card.settle();
  await card.read();
  assert.equal(card.outside, true);
  assert.equal(card.text, "card 200");
  await card.save();
  assert.equal(card.refusal.error, "changed outside");
  assert.equal(disk.text, "of another");
  card.startAnew();
  assert.equal(card.text, "of another");
  assert.equal(card.outside, false);
});

test("what the text of a card does not take is not saved", async () => {
  const asked = [];
  program = async (path) => {
    asked.push(path);
    return { status: 200, json: cardOf("card", path.endsWith("/try") ? [gain] : []) };
  };
  const card = new page.CardStore("c");
  await card.read();
  card.type(gain, "0.5");
  await card.save();
  assert.match(card.said, /^Not saved: .*gain/);
  assert.deepEqual(asked, ["/api/cards/c", "/api/cards/c/try"]);
});

test("a field that is typed in just before the whole text is in it all the same", async () => {
  const disk = { text: "card" };
  const slow = { try: gate() };
  program = cardProgram(disk, slow);
  const card = new page.CardStore("c");
  await card.read();
  card.type(gain, "200");
  const first = card.settle();
  await turn();
  card.typeWhole("other");
  slow.try.open();
  await first;
  card.typeWhole("others");
  await card.save();
  assert.equal(disk.text, "others 200");
  assert.equal(card.text, "others 200");
  assert.equal(card.touched, false);
});

test("what is typed of a card while the program is gone is judged when it is back", async () => {
  const disk = { text: "card" };
  program = cardProgram(disk);
  const card = new page.CardStore("c");
  await card.read();
  program = async () => {
    throw new TypeError("nobody listens");
  };
  card.type(gain, "200");
  await card.save();
  assert.equal(disk.text, "card");
  assert.equal(card.touched, true);
  program = cardProgram(disk);
  await card.read();
  await card.settle();
  assert.equal(card.text, "card 200");
  await card.save();
  assert.equal(disk.text, "card 200");
  const tried = [];
  program = async () => {
    throw new TypeError("nobody listens");
  };
  card.typeWhole("other");
  await card.settle();
  program = async (path, body) => {
    if (body) tried.push(body.text);
    return { status: 200, json: cardOf(body?.text ?? disk.text) };
  };
  await card.read();
  await card.settle();
  assert.deepEqual(tried, ["other"]);
});
