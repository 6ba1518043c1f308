// Every example's report, build sheets and test sheet, opened in Chromium: nothing on the console, no request, no overlapping
// text, title and verdict in sight, no violation of WCAG 2.2 A and AA that axe-core finds.
//
// Environment: GAPWRIGHT (the program), PICTURES (a folder for photographs; optional).

import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { mkdtempSync, readdirSync, readFileSync, rmSync } from "node:fs";
import { createRequire } from "node:module";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import { after, before, test } from "node:test";
import { fileURLToPath } from "node:url";
import { chromium } from "playwright-core";

const project = join(dirname(fileURLToPath(import.meta.url)), "..", "..");
const program = process.env.GAPWRIGHT ?? join(project, "build/release/gapwright");
const examples = join(project, "examples/clock-tower");
const axe = readFileSync(createRequire(import.meta.url).resolve("axe-core"), "utf8");
const folder = mkdtempSync(join(tmpdir(), "gapwright-browser-"));
let browser;

before(async () => {
  browser = await chromium.launch({
    executablePath: "/usr/bin/chromium",
    args: ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
      "--disable-background-networking", "--disable-component-update", "--disable-sync"],
  });
});

after(async () => {
  await browser?.close();
  rmSync(folder, { recursive: true, force: true });
});

// Runs the program; a broken promise is the only failure that it may report.
function write(name, command, ...rest) {
  try {
    execFileSync(program, [command, join(examples, `${name}.link.toml`), "--replace", ...rest],
      { stdio: "ignore" });
  } catch (error) {
    assert.equal(error.status, 1, `${name}: only a broken promise may fail`);
  }
}

function report(name) {
  const file = join(folder, `${name}.html`);
  write(name, "report", "-o", file);
  return file;
}

function sheets(name) {
  const sheet = join(folder, `${name}-sheet`);
  write(name, "build", "-o", sheet, "--drawer", join(examples, "needs/drawer.csv"));
  return sheet;
}

function testSheet(name, ...more) {
  const file = join(folder, `${name}-test-sheet.html`);
  write(name, "bench", "-o", file, ...more);
  return file;
}

// Boxes of texts in a picture that overlap by more than a hair.
function overlappingTexts() {
  const found = [];
  for (const svg of document.querySelectorAll("svg")) {
    const texts = [...svg.querySelectorAll("text")].map((t) => [t.textContent, t.getBoundingClientRect()]);
    texts.forEach(([a, p], i) => texts.slice(i + 1).forEach(([b, q]) => {
      const wide = Math.min(p.right, q.right) - Math.max(p.left, q.left);
      const high = Math.min(p.bottom, q.bottom) - Math.max(p.top, q.top);
      if (wide > 1 && high > 2.5) found.push(`${a} / ${b}`);
    }));
  }
  return found;
}

async function look(file, scheme, photograph, verdict = /kept|thin|broken/) {
  const context = await browser.newContext({
    viewport: { width: 1280, height: 900 }, colorScheme: scheme,
  });
  const page = await context.newPage();
  const said = [];
  const requests = [];
  page.on("console", (message) => said.push(message.text()));
  page.on("pageerror", (error) => said.push(String(error)));
  page.on("request", (request) => requests.push(request.url()));
  await page.goto(`file://${file}`);
  const own = (url) => url.startsWith("file://") || url.startsWith("data:");
  assert.deepEqual(requests.filter((url) => !own(url)), []);
  assert.equal(requests.filter((url) => url.startsWith("file://")).length, 1);
  assert.deepEqual(said, []);
  assert.ok(await page.locator("h1").isVisible());
  if (verdict) assert.ok(await page.locator("p.verdict strong").isVisible());
  if (verdict) assert.match(await page.locator("p.verdict").innerText(), verdict);
  assert.deepEqual(await page.evaluate(overlappingTexts), []);
  assert.ok(await page.evaluate(() =>
    document.documentElement.scrollWidth <= document.documentElement.clientWidth),
    "the page itself does not scroll sideways");
  if (process.env.PICTURES) {
    await page.screenshot({ path: join(process.env.PICTURES, `${photograph}-${scheme}.png`), fullPage: true });
    if (scheme === "light") {
      for (const format of ["A4", "Letter"]) {
        await page.pdf({ path: join(process.env.PICTURES, `${photograph}-${format}.pdf`), format });
      }
    }
  }
  await page.evaluate(axe);
  const result = await page.evaluate(() => globalThis.axe.run(document, {
    runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"],
  }));
  assert.deepEqual(result.violations.map((v) => `${v.id}: ${v.nodes[0].html.slice(0, 120)}`), []);
  await context.close();
}

const everyCase = process.env.GAPWRIGHT_ALL_CASES !== undefined;

for (const file of readdirSync(examples).filter((f) => f.endsWith(".link.toml"))) {
  const name = file.replace(".link.toml", "");
  for (const scheme of ["light", "dark"]) {
    test(`${name}, ${scheme}`, async () => look(report(name), scheme, name));
  }
  test(`${name}, build sheets`, async () => {
    const sheet = sheets(name);
    for (const [board, scheme] of [["solderless", "light"], ["strip", "dark"], ["grid", "light"]]) {
      await look(join(sheet, `${board}.html`), scheme, `${name}-${board}`);
    }
  });
  // A pair, a coupler and a bus; scripts/test-long looks at all.
  if (!everyCase && !["lamp-watch", "bell-hammer", "chime-bus"].includes(name)) continue;
  test(`${name}, test sheet`, async () => {
    await look(testSheet(name, "--board", "strip"), "light", `${name}-test-sheet`, null);
  });
}

test("a test sheet with readings", async () => {
  const readings = join(examples, "bench/bell-hammer.csv");
  await look(testSheet("bell-hammer", "--readings", readings), "dark", "bell-hammer-read", /faulty/);
});
