// Hostile texts wherever a file of the folder can hold them, on every screen that shows them: no
// script runs, nothing is asked for elsewhere, no dialog opens, nothing is on the console, and what
// was written is read as text. The same of the exported report.
import assert from "node:assert/strict";
import { copyFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { after, before, test } from "node:test";
import { cell, fileName, hostile, quoted } from "./hostile_texts.mjs";
import { arrived, atRest, contentsOf, exampleText, folderWith, launch, open, project, Served, unfold } from "./page_scene.mjs";

const hammer = exampleText("bell-hammer.link.toml");
const first = exampleText("../first.link.toml"); // the least of links: each state is proven
const drawer = exampleText("needs/drawer.csv");
const all = hostile.map(({ text }) => text).join(" | ");
const numbers = hostile.map(({ number }) => `H${number}`);
const inTurn = 55; // states of one link; each is judged
const ran = [];

let browser;
let served;
let page;

const retitled = (title, about = "x") => hammer
  .replace(/^title = .*$/m, `title = ${quoted(title)}`).replace(/^about = .*$/m, `about = ${quoted(about)}`);

// A link with hostile texts as names of states, its first state among them. (A name of two lines is
// refused.)
function withStates(from) {
  const names = hostile.slice(from, from + inTurn)
    .filter(({ text }) => text.length < 400 && !/[\r\n]/.test(text)).map(({ text }) => quoted(text));
  return first.replace("First link", `States ${from}`)
    .replace('on  = { S1 = "closed" }', names.map((name) => `${name} = { S1 = "closed" }`).join("\n"))
    .replace('state = "on"', `state = ${names[0]}`);
}

function files() {
  const made = {
    "about.link.toml": { text: `${retitled("About", all)}\n[choose]\ndrawer = "drawer.csv"\n` },
    "title.link.toml": { text: retitled(hostile.filter(({ text }) => text.length < 400).map(({ text }) => text).join(" "), all) },
    "parts.link.toml": { text: hammer.replace("Bell hammer", "Parts")
      .replace("[parts]", `[parts]\n${hostile.map(({ text }) => `${quoted(text)} = { kind = ${quoted(text)} }`).join("\n")}`) },
    "values.link.toml": { text: hammer.replace("Bell hammer", "Values")
      .replace('"330 Ω ± 5 %"', quoted(all)).replace('"16.8 V"', quoted("<img src=x onerror=__ran(901)>"))
      .replace('"npn-medium"', quoted("<svg onload=__ran(902)>")) },
    "torn.link.toml": { text: `<script>__ran(903)</script>\n${all.replace(/[\u0000-\u001F\u007F]/g, " ")}` },
    "need.link.toml": { text: exampleText("needs/bell-hammer.link.toml").replace("Bell hammer", "Need of all") },
    "drawer.csv": { text: `${drawer.slice(0, drawer.indexOf("\n"))}\n${hostile
      .map(({ text }, n) => `resistor,${330 + n} Ω,5 %,0.25 W,20,,${cell(text)}`).join("\n")}${drawer
      .slice(drawer.indexOf("\n"))}${hostile
      .map(({ text }) => `${cell(text)},${cell(text)},5 %,0.25 W,${cell(text)},${cell(text)},${cell(text)}`).join("\n")}\n` },
  };
  for (let from = 0; from < hostile.length; from += inTurn) {
    made[`states-${from}.link.toml`] = { text: withStates(from) };
  }
  return made;
}

before(async () => {
  const folder = folderWith(files());
  for (const one of hostile) {
    // The name and the title of a link, of a card, and the names of charts, drawers and points.
    const put = (ending, text) =>
      writeFileSync(join(folder, fileName(one, ending) ?? `plain-${one.number}${ending}`), text);
    put(".link.toml", `title = ${quoted(one.text)}\nabout = ${quoted(one.text)}\n`);
    if (one.number % 4 === 0) {
      put(".card.toml", `name = ${quoted(one.text)}\nbased_on = "infrared-led"\nsource = ${quoted(one.text)}\n`);
    }
    if (one.number % 4 === 1) put(".csv", "kind,value,tolerance,power,count,card,note\n");
    if (one.number % 4 === 2) put(".points.csv", "forward_current (mA),forward_voltage (V)\n");
    if (one.number % 4 === 3) {
      copyFileSync(join(project, "examples/clock-tower/charts/vane-emitter.png"),
        join(folder, fileName(one, ".png") ?? `plain-${one.number}.png`));
    }
  }
  browser = await launch();
  served = await Served.start(folder);
  page = await open(browser, served);
  await watch(page);
});

after(async () => {
  await browser?.close();
  await served?.endAndRemove();
});

async function watch(window) {
  await window.context().exposeFunction("__ran", (number) => { ran.push(number); });
  window.on("dialog", (dialog) => { ran.push(dialog.message()); void dialog.dismiss(); });
  window.on("popup", (popup) => ran.push(popup.url()));
  await window.reload();
}

// Nothing ran, and of the numbered texts all those stand on the screen that should.
async function nothingRan(where, expected = []) {
  await atRest(page);
  const shown = await page.evaluate(() =>
    `${document.body.textContent} ${[...document.querySelectorAll("input, textarea")].map((e) => e.value).join(" ")}`);
  const missing = expected.filter((text) => !shown.includes(text));
  assert.deepEqual(missing, [], `${where}: not shown as text`);
  const foreign = await page.evaluate(() => [...document.querySelectorAll(
    "script:not([src='/page.js']), iframe, object, embed, base, audio, video, form[action], foreignObject, animate, set, [onload], [onerror], a[href^='javascript' i], img:not([src^='/api/charts/'])",
  )].map((element) => element.outerHTML.slice(0, 200)));
  assert.deepEqual(foreign, [], where);
  assert.deepEqual(ran, [], where);
  assert.deepEqual(page.troubles, [], where);
}

const view = () => page.evaluate(async () => (await fetch("/api/folder")).json());
const idOf = async (file) => (await view()).links.find((entry) => entry.file === file).id;
async function go(hash, ready) {
  await page.evaluate((to) => { location.hash = to; }, hash);
  if (hash.startsWith("#/link/")) await arrived(page, hash); // what is looked for may stand on the screen before, too
  await ready.filter({ visible: true }).first().waitFor({ timeout: 120_000 });
}

test("there are enough of them, and the watch sees what runs", async () => {
  assert.ok(hostile.length >= 200, `${hostile.length}`);
  await page.evaluate(() => globalThis.__ran("seen"));
  assert.deepEqual(ran.splice(0), ["seen"]);
});

test("titles and names in the folder", async () => {
  await page.getByRole("list", { name: "Links" }).waitFor();
  const plain = hostile.filter((one) => one.plain);
  await nothingRan("folder", plain.map(({ text }) => text));
  await unfold(page.locator("summary", { hasText: "New link" }));
  await page.getByRole("radio", { name: "a copy" }).check();
  await nothingRan("copies", numbers);
  const listed = await view();
  for (const [kind, least] of [["links", 218], ["cards", 50], ["charts", 50], ["drawers", 50], ["points", 50]]) {
    assert.ok(listed[kind].length >= least, `${kind}: ${listed[kind].length}`);
  }
});

test("titles and words of each link", async () => {
  for (const entry of (await view()).links) {
    const number = /H\d+$/.exec(entry.title)?.[0];
    if (!number) continue;
    await go(`#/link/${entry.id}/circuit`, page.locator(".about", { hasText: number }));
  }
  await nothingRan("links");
});

for (const [file, ready] of [["about", ".promises"], ["title", ".promises"], ["parts", ".problem"],
  ["values", ".problem"], ["torn", ".problem"]]) {
  test(`the circuit of ${file}`, async () => {
    await go(`#/link/${await idOf(`${file}.link.toml`)}/circuit`, page.locator(ready));
    await page.evaluate(() => document.querySelectorAll("details").forEach((fold) => { fold.open = true; }));
    await nothingRan(file, file === "about" ? numbers : []);
    if (file !== "about" && file !== "title") return;
    for (const screen of ["proof", "build", "bench", "need"]) {
      await go(`#/link/${await idOf(`${file}.link.toml`)}/${screen}`, page.locator("main h2"));
      await page.waitForFunction(() => !document.querySelector("progress"), null, { timeout: 300_000 });
      await nothingRan(`${screen} of ${file}`);
    }
  });
}

test("names of states", async () => {
  for (let from = 0; from < hostile.length; from += inTurn) {
    const id = await idOf(`states-${from}.link.toml`);
    await go(`#/link/${id}/circuit`, page.getByRole("radio"));
    await page.getByRole("list", { name: "Promises" }).waitFor();
    await nothingRan(`states from ${from}`, from === 0 ? [hostile[0].text, hostile[20].text] : []);
  }
  await go(`#/link/${await idOf("states-0.link.toml")}/proof`, page.locator("figure"));
  await nothingRan("proof of states");
});

test("notes of a drawer", async () => {
  const id = await idOf("need.link.toml");
  await go(`#/link/${id}/need`, page.getByRole("button", { name: "Design" }));
  await page.getByRole("button", { name: "Design" }).click();
  await page.getByText(/Rows of the drawer|Take this one/).first().waitFor({ timeout: 300_000 });
  await page.evaluate(() => document.querySelectorAll("details").forEach((fold) => { fold.open = true; }));
  await nothingRan("answers", numbers.slice(0, 60));
  await go(`#/link/${await idOf("about.link.toml")}/build`, page.getByText(/step 1 of/));
  await nothingRan("build", [hostile[0].text]);
});

test("names and sources of cards", async () => {
  for (const entry of (await view()).cards.filter((card) => card.file)) {
    await go(`#/card/${entry.id}`, page.locator("h1", { hasText: /H\d+/.exec(entry.title)?.[0] ?? entry.title }));
    await page.getByRole("heading", { name: "Figures" }).or(page.locator(".problem")).first().waitFor();
  }
  await nothingRan("cards", [/H\d+/.exec((await view()).cards.findLast((card) => card.file).title)[0]]);
});

test("names of charts, and points", async () => {
  for (const entry of (await view()).charts.slice(0, 12)) {
    await go(`#/chart/${entry.id}`, page.locator(`img[src*="${entry.id}"]`));
  }
  await go("#/fit", page.getByRole("button", { name: "Fit", exact: true }));
  await page.getByRole("combobox", { name: "kind" }).selectOption("led");
  // From the press on, the refusal before is not told any more.
  for (const { text, number } of hostile.filter(({ number: n }) => n % 8 === 0)) {
    const bad = number % 16 === 0 ? `${cell(text)},forward_voltage (V)\n1,1\n` : `forward_current (mA),forward_voltage (V)\n${cell(text)},1.1\n`;
    await page.getByLabel(/points as CSV/).fill(bad);
    await page.getByRole("button", { name: "Fit", exact: true }).click();
    await page.locator(".refusal").first().waitFor({ timeout: 120_000 });
  }
  await page.getByLabel(/where the points come from/).fill(all.replace(/\s+/g, " ").slice(0, 4000));
  await page.getByLabel(/points as CSV/).fill(exampleText("charts/vane-emitter.csv"));
  await page.getByRole("textbox", { name: "title" }).fill("<img src=x onerror=__ran(904)>");
  await page.getByRole("button", { name: "Fit", exact: true }).click();
  await page.getByRole("heading", { name: "Fitted card" }).or(page.locator(".refusal")).first().waitFor({ timeout: 120_000 });
  await nothingRan("fit");
});

test("the exported report and sheets, opened as files", async () => {
  const folder = folderWith({});
  const before = contentsOf(served.folder);
  for (const [name, what] of [["title", "report"], ["states-0", "report"], ["about", "build&board=strip"], ["title", "sheet"]]) {
    const text = await page.evaluate(async (path) => (await fetch(path)).text(),
      `/api/links/${await idOf(`${name}.link.toml`)}/export?what=${what}`);
    assert.match(text, /^<!DOCTYPE html>/i, `${what} of ${name}: ${text.slice(0, 300)}`);
    const file = join(folder, "export.html");
    writeFileSync(file, text);
    const context = await browser.newContext();
    const window = await context.newPage();
    const troubles = [];
    window.on("console", (message) => troubles.push(message.text()));
    window.on("pageerror", (error) => troubles.push(error.message));
    window.on("request", (request) => request.url() !== pathToFileURL(file).href && troubles.push(request.url()));
    await context.exposeFunction("__ran", (number) => { ran.push(number); });
    window.on("dialog", (dialog) => { ran.push(dialog.message()); void dialog.dismiss(); });
    await window.goto(pathToFileURL(file).href);
    const links = await window.evaluate(() => [...document.querySelectorAll("a")].map((a) => a.href).filter((href) => !/^(file:|#)/.test(href)));
    assert.deepEqual({ ran, troubles, links }, { ran: [], troubles: [], links: [] }, `${what} of ${name}`);
    await context.close();
  }
  assert.deepEqual(contentsOf(served.folder), before);
});
