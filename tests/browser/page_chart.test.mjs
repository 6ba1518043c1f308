// A family of curves read off a chart on the page, by pressing on it: the magnifier, marks that are
// taken on their lines, every curve with its condition, the curves drawn at once, what cannot be
// read told beside its curve.
import assert from "node:assert/strict";
import { copyFileSync } from "node:fs";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { atRest, folderWith, launch, open, pressUntil, project, Served } from "./page_scene.mjs";

const long = { timeout: 120_000 };
let browser;
let served;
let page;

before(async () => {
  browser = await launch();
  const folder = folderWith({});
  for (const name of ["family5-colour.png", "persp10.png"]) copyFileSync(join(project, "tests/app/charts", name), join(folder, name));
  served = await Served.start(folder);
  page = await open(browser, served);
});

after(async () => {
  await browser?.close();
  await served?.endAndRemove();
});

async function toChart(name) {
  await page.goto(`${served.origin}/#/`);
  await pressUntil(page.getByRole("list", { name: "Charts" }).getByRole("link", { name }), page.locator(".chart svg.overlay"));
}

// A press on a pixel of the picture, 640 × 480.
async function press(x, y) {
  await atRest(page); // what the press before brought must not move the picture on the way to it
  const box = await page.locator(".chart > img").boundingBox();
  const at = [box.x + ((x + 0.5) * box.width) / 640, box.y + ((y + 0.5) * box.height) / 480];
  await page.mouse.move(...at);
  await page.mouse.click(...at);
}

async function values(texts) {
  for (const [name, text] of Object.entries(texts)) await page.getByLabel(`value at ${name}`).fill(text);
}

test("a family, by pressing", async () => {
  await toChart(/family5/);
  await page.getByLabel("quantity of x").selectOption("collector_emitter_voltage");
  await page.getByLabel("quantity of y").selectOption("collector_current");
  await values({ "x mark 1": "0 V", "x mark 2": "10 V", "y mark 1": "0 mA", "y mark 2": "35 mA" });
  await press(83, 418);
  await page.locator(".magnifier img").waitFor(); // beside the pointer
  await press(610, 418); // two pixels beside the last tick
  await press(83, 418);
  await press(83, 34);
  // From here on each press is a curve, read at once.
  await press(345, 391);
  await page.locator(".overlay polyline").first().waitFor({ ...long, state: "attached" });
  await page.getByText(/moved onto the line beside them.*10\.0 V at 610,418 by [12]\.\d px/).waitFor(long);
  await press(345, 339);
  await press(345, 300); // nothing there
  await press(345, 263);
  await page.getByText(/Not read:.*there is no ink at .*pixel 345, 300/).waitFor(long);
  await page.getByLabel("curve 1 was measured at").fill("forward_current = 2 mA");
  await page.getByLabel("curve 4 was measured at").fill("forward_current = 10 mA");
  await page.getByRole("button", { name: "Take place 1 of curve 3 out" }).click();
  await page.getByLabel("curve 2 was measured at").fill("forward_current = 5 mA");
  await page.getByRole("button", { name: "Read the curves" }).click();
  const points = page.getByLabel("Points as CSV");
  await page.waitForFunction(() => {
    const text = document.querySelector("textarea.file")?.value ?? "";
    return text.includes("forward_current") && !/,4\r?\n/.test(text);
  }, null, long);
  const rows = (await points.inputValue()).trim().split(/\r?\n/);
  assert.equal(rows.length, 1 + 3 * 25);
  const header = rows[0].split(",");
  const column = (name) => header.findIndex((field) => field.startsWith(name));
  const of = (curve, name) => rows.slice(1).map((row) => row.split(",")).filter((row) => row[column("curve")] === String(curve))
    .map((row) => Number(row[column(name)]));
  assert.deepEqual([1, 2, 3].map((curve) => of(curve, "forward_current")[0]), [2, 5, 10]);
  // What the picture shows at 10 V, to a tenth of a division of 5 mA.
  for (const [curve, current] of [[1, 2.4], [2, 7.4], [3, 15.2]]) {
    assert.ok(Math.abs(of(curve, "collector_current").at(-1) - current) < 0.5, `curve ${curve}`);
  }
  assert.equal(await page.locator(".overlay polyline:not(.halo)").count(), 3);
  assert.deepEqual(page.troubles, []);
});

test("a picture taken at an angle, by its corners", async () => {
  await toChart(/persp10/);
  await page.getByLabel("quantity of x").selectOption("forward_current");
  await page.getByLabel("quantity of y").selectOption("ctr");
  await page.getByRole("checkbox", { name: "logarithmic" }).first().check();
  await values({ "x mark 1": "0.1 mA", "x mark 2": "100 mA", "y mark 1": "0 %", "y mark 2": "200 %" });
  for (const [x, y] of [[91, 408], [611, 400], [91, 408], [132, 51]]) await press(x, y);
  await press(350, 170);
  await page.getByText(/taken at an angle, and readings may be wrong by/).waitFor(long);
  await page.getByRole("checkbox", { name: /taken at an angle/ }).check();
  for (const [x, y] of [[91, 408], [611, 400], [594, 39], [132, 51]]) await press(x, y);
  await page.getByText(/readings may be wrong by/).waitFor({ ...long, state: "detached" });
  assert.equal(await page.locator(".overlay polyline:not(.halo)").count(), 1);
  assert.deepEqual(page.troubles, []);
});
