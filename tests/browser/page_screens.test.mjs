// Every screen, in three sizes and both colour schemes: nothing that axe-core finds, no scrolling
// sideways, nothing on the console. One program and one window for all, so that long work is done
// once; the window changes its size and scheme.
import assert from "node:assert/strict";
import { appendFileSync } from "node:fs";
import { join } from "node:path";
import { after, before, test } from "node:test";
import {
  atRest, exampleText, folderWith, launch, open, openLink, overflow, photograph, pressUntil, Served, unfold, violations,
} from "./page_scene.mjs";

const hammer = exampleText("bell-hammer.link.toml");
const files = {
  "bell-hammer.link.toml": { text: hammer },
  "spare-hammer.link.toml": {
    text: exampleText("needs/bell-hammer.link.toml").replace("Bell hammer", "Spare hammer"),
  },
  "torn-hammer.link.toml": {
    text: hammer.replace("Bell hammer", "Torn hammer").replace("330 Ω", "330 Ohmz").replace('"1 mA"', '"1 V"'),
  },
  "drawer.csv": "needs/drawer.csv",
  "bench-drawer.csv": { text: exampleText("needs/drawer.csv").split("\n").slice(0, 12).join("\n") },
  "vane-emitter.png": "charts/vane-emitter.png",
  "vane-emitter.csv": "charts/vane-emitter.csv",
  "vane-emitter.card.toml": "charts/vane-emitter.card.toml",
};

let browser;
let served;
let page;

before(async () => {
  browser = await launch();
  served = await Served.start(folderWith(files));
  page = await open(browser, served);
});

after(async () => {
  await browser?.close();
  await served?.endAndRemove();
});

async function look(name, rightly = null) {
  const wrong = [];
  for (const [width, height] of [[1440, 900], [1024, 768], [390, 844]]) {
    await page.setViewportSize({ width, height });
    for (const colorScheme of ["light", "dark"]) {
      await page.emulateMedia({ colorScheme });
      const where = `${name}-${width}-${colorScheme}`;
      wrong.push(...(await violations(page, { ended: rightly !== null })).map((found) => `${where}: ${found}`));
      const sideways = await overflow(page);
      if (sideways > 0) wrong.push(`${where}: scrolls sideways by ${sideways} px`);
      await photograph(page, where);
    }
  }
  await page.setViewportSize({ width: 1280, height: 900 });
  await page.emulateMedia({ colorScheme: "light" });
  assert.deepEqual(wrong, []);
  assert.deepEqual(page.troubles.filter((text) => !rightly?.test(text)), []);
}

async function toFolder() {
  await page.goto(`${served.origin}/#/`);
  await page.getByRole("heading", { name: "Links" }).waitFor();
}

async function link(title, screen) {
  await toFolder();
  await openLink(page, title, screen);
}

const long = { timeout: 300_000 };

test("the folder, with the form of a new link", async () => {
  await unfold(page.locator("summary", { hasText: "New link" }));
  await page.getByRole("radio", { name: "a need" }).check();
  await page.getByLabel("what it switches").waitFor();
  await unfold(page.locator("summary", { hasText: "Shipped cards" }));
  await look("folder");
});

test("an empty folder", async () => {
  const other = await Served.start(folderWith({}));
  const own = page;
  try {
    page = await open(browser, other);
    await page.getByRole("button", { name: "Make this link" }).waitFor();
    await look("folder-empty");
  } finally {
    await page.context().close();
    page = own;
    await other.endAndRemove();
  }
});

test("the circuit, with a part and a promise opened", async () => {
  await link("Bell hammer", "Circuit");
  await page.getByRole("button", { name: /^R1, / }).click();
  await page.getByRole("list", { name: "Other choices for R1" }).waitFor(long);
  const promise = page.getByRole("list", { name: "Promises" }).getByRole("listitem").first();
  await unfold(promise.locator("summary"));
  await promise.getByRole("button", { name: /Show the lowest/ }).click();
  await page.getByRole("button", { name: "Back to nominal" }).waitFor();
  for (const fold of ["Ratings", "Surroundings", "Add a promise", "Whole file"]) {
    await unfold(page.locator("summary", { hasText: fold }).first());
  }
  await look("circuit");
});

test("the circuit, with problems in the text", async () => {
  await link("Torn hammer", "Circuit");
  await page.getByRole("region", { name: "Problems" }).waitFor();
  await look("circuit-problems");
});

test("a value that is being typed wrong", async () => {
  await link("Bell hammer", "Circuit");
  const value = page.getByRole("textbox", { name: "value of R1" });
  if (!await value.count()) await page.getByRole("button", { name: /^R1, / }).click();
  await value.fill("330 Ohmz");
  await page.locator(".at-field").first().waitFor();
  await look("circuit-typing");
  await value.press("Escape");
});

test("the need, with answers", async () => {
  await link("Spare hammer", "Need");
  await page.getByRole("button", { name: "Design" }).click();
  await page.getByRole("list", { name: "Answers" }).waitFor(long);
  await unfold(page.locator("summary", { hasText: "Why these values" }).first());
  await look("need");
});

test("the proof", async () => {
  await link("Bell hammer", "Proof");
  await page.getByRole("heading", { name: "Worked steps" }).waitFor(long);
  await look("proof");
});

test("the build", async () => {
  await link("Bell hammer", "Build");
  await page.getByText(/step 1 of \d+/).waitFor(long);
  await atRest(page);
  await page.getByRole("button", { name: /Next/ }).click();
  await page.getByText(/step 2 of \d+/).waitFor();
  await look("build");
});

test("the bench, with readings judged", async () => {
  await link("Bell hammer", "Bench");
  await page.getByRole("list", { name: "Measurements" }).locator("input").first().waitFor(long);
  const reading = page.getByRole("textbox", { name: /reading \d+: resistance across R1/ });
  await reading.fill("3300 Ω");
  await reading.press("Enter");
  await page.getByRole("textbox", { name: /^reading/ }).first().fill("much");
  await page.getByRole("textbox", { name: /^reading/ }).first().press("Enter");
  await page.getByRole("list", { name: "Suspects" }).waitFor(long);
  await look("bench");
});

test("a drawer", long, async () => {
  await toFolder();
  await pressUntil(page.getByRole("link", { name: "bench-drawer.csv" }), page.getByRole("textbox", { name: "value of row 1", exact: true }));
  await look("drawer");
});

test("a card", async () => {
  await toFolder();
  await pressUntil(page.getByRole("list", { name: "Cards of the folder" }).getByRole("link").first(),
    page.getByRole("heading", { name: "Figures" }));
  await unfold(page.locator("summary", { hasText: "Whole card" }));
  await look("card");
});

test("a fit, with its result", async () => {
  await page.goto(`${served.origin}/#/fit`);
  await page.getByRole("combobox", { name: "points" }).selectOption({ label: "vane-emitter.csv" });
  await page.getByRole("combobox", { name: "kind" }).selectOption("led");
  await page.getByRole("button", { name: "Fit", exact: true }).click();
  await page.getByRole("heading", { name: "Fitted card" }).waitFor(long);
  await unfold(page.locator("summary", { hasText: "The card's file" }));
  await look("fit");
});

test("a chart, with marks and the curve", async () => {
  await toFolder();
  await pressUntil(page.getByRole("list", { name: "Charts" }).getByRole("link").first(), page.locator(".chart svg.overlay"));
  await page.getByLabel("quantity of x").selectOption("forward_voltage");
  await page.getByLabel("quantity of y").selectOption("forward_current");
  await page.getByRole("checkbox", { name: "logarithmic" }).nth(1).check();
  const marks = { "x mark 1": [105, 498, "0.9 V"], "x mark 2": [697, 506, "1.5 V"],
    "y mark 1": [105, 498, "0.1 mA"], "y mark 2": [111, 74, "100 mA"] };
  const figure = async (name, value) => {
    await page.getByLabel(name, { exact: true }).fill(String(value));
    await page.getByLabel(name, { exact: true }).press("Tab");
  };
  for (const [name, [x, y, value]] of Object.entries(marks)) {
    await figure(`x of ${name}`, x);
    await figure(`y of ${name}`, y);
    await figure(`value at ${name}`, value);
  }
  await page.getByRole("button", { name: "Add a curve" }).click();
  await figure("x of place 1 of curve 1", 339);
  await figure("y of place 1 of curve 1", 261);
  await page.getByRole("button", { name: "Read the curve" }).click();
  await page.getByRole("heading", { name: "Points read" }).waitFor(long);
  await page.locator(".overlay polyline").first().waitFor({ state: "attached" }); // the curve is drawn
  await look("chart");
});

test("a file changed outside", async () => {
  await link("Bell hammer", "Circuit");
  appendFileSync(join(served.folder, "bell-hammer.link.toml"), "# seen by the night shift\n");
  await page.getByRole("button", { name: "Keep mine" }).waitFor();
  await unfold(page.locator("summary", { hasText: "What stands there" }));
  await look("outside");
  await page.getByRole("button", { name: "Take the file's" }).click();
});

test("a program that has ended", async () => {
  await link("Bell hammer", "Circuit");
  assert.deepEqual(page.troubles, []);
  await served.end("SIGKILL");
  await page.getByText("The program has ended.").waitFor();
  await look("ended", /ERR_CONNECTION_(REFUSED|RESET)|ERR_EMPTY_RESPONSE/);
});
