// A card edited as a form: what is typed is judged and drawn, the file gets that and nothing else,
// form and text are one, and the keyboard is enough.
//
// Environment: as page_scene.mjs.
import assert from "node:assert/strict";
import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { after, before, test } from "node:test";
import {
  folderWith, holdBack, launch, open, overflow, photograph, pressUntil, Served, unfold, violations,
} from "./page_scene.mjs";

const coupler = `# measured on the winder's board
name = "Winder coupler"
kind = "coupler"
source = "sheet 7"

[emitter]
forward = "1.2 V (1.05 .. 1.4 V) at 10 mA"   # typical

[transfer]
# of twelve specimens
ctr = "120 % (100 .. 300 %) at 5 mA, 5 V"
`;
const file = "winder.card.toml";
const long = { timeout: 240_000 };
let browser;

before(async () => {
  browser = await launch();
});
after(() => browser?.close());

async function withCard(work, { name = "Winder coupler", width = 1280, height = 900 } = {}) {
  const served = await Served.start(folderWith({ [file]: { text: coupler } }));
  try {
    const page = await open(browser, served, { width, height });
    if (name !== "Winder coupler") await unfold(page.locator("summary", { hasText: "Shipped cards" }));
    await pressUntil(page.getByRole("link", { name }), page.getByRole("heading", { name: "Figures" }));
    await work(page, served);
    assert.deepEqual(page.troubles, []);
    await page.context().close();
  } finally {
    await served.endAndRemove();
  }
}

const field = (page, name) => page.getByRole("textbox", { name, exact: true });
const save = (page) => page.getByRole("button", { name: "Save card" });
const status = (page, words) => page.getByRole("status").filter({ hasText: words }).waitFor();
const unsaid = (page) => page.locator("summary", { hasText: "What the card does not say" });
const ratio = (page) => page.getByRole("group", { name: /current transfer ratio against forward current/ }).locator("svg");
const curveBefore = (page) => ratio(page).locator("text", { hasText: "dashed: before the change" });
const openText = async (page) => {
  await unfold(page.locator("summary", { hasText: "Whole card" }));
  return page.getByRole("textbox", { name: "Whole card" });
};
const shows = (page, box, text) => page.waitForFunction(([at, wanted]) => at.value === wanted, [box, text]);

test("a figure that is changed moves the curve, and is all that changes in the file", long, () => withCard(async (page, served) => {
  assert.equal(await curveBefore(page).count(), 0);
  assert.equal(await save(page).isDisabled(), true);
  await field(page, "ctr").fill("80 % (50 - 110 %) @ 5 mA, 5 V");
  await page.getByText("Written as 80 % (50 .. 110 %) at 5 mA, 5 V").waitFor();
  await curveBefore(page).waitFor();
  assert.equal(served.text(file), coupler, "nothing is saved before it is asked for");
  await save(page).click();
  await status(page, "Saved as winder.");
  assert.equal(served.text(file), coupler.replace("120 % (100 .. 300 %)", "80 % (50 .. 110 %)"));
  await curveBefore(page).waitFor({ state: "detached" });
  assert.equal(await field(page, "ctr").inputValue(), "80 % (50 .. 110 %) at 5 mA, 5 V");
}));

test("a wrong value is told at its field, and the last curves stay", long, () => withCard(async (page) => {
  const forward = field(page, "forward");
  await forward.fill("1.2 A at 10 mA");
  await page.getByText("a voltage is in volts, not amperes").waitFor();
  assert.equal(await forward.getAttribute("aria-invalid"), "true");
  const told = await forward.getAttribute("aria-describedby");
  assert.match(await page.locator(`[id="${told}"]`).textContent(), /write for example/);
  await page.getByText("these are the last that could be drawn").waitFor();
  await ratio(page).waitFor();
  assert.equal(await page.locator(".card-form").evaluate((form) => form.contains(document.activeElement)), true);
  await forward.press("Escape");
  await page.getByText("a voltage is in volts").waitFor({ state: "detached" });
  assert.equal(await forward.inputValue(), "1.2 V (1.05 .. 1.4 V) at 10 mA");
  assert.equal(await save(page).isDisabled(), true);
}));

test("what can be read in two ways keeps the card from being saved", long, () => withCard(async (page, served) => {
  await unfold(unsaid(page));
  await field(page, "base share").fill("0.5");
  await page.getByText(/50 %.*0\.5 %|0\.5 %.*50 %/).waitFor();
  await field(page, "source").fill("sheet 8");
  await save(page).click();
  await status(page, "Not saved: what is typed for base share cannot be written yet.");
  assert.equal(served.text(file), coupler);
  await field(page, "base share").fill("5 %");
  await save(page).click();
  await status(page, "Saved as winder.");
  assert.match(served.text(file), /^base_share = "5 %"$/m);
  assert.match(served.text(file), /^source = "sheet 8"$/m);
}));

test("what cannot be right is found while it is typed", long, () => withCard(async (page) => {
  await unfold(unsaid(page));
  await field(page, "ideality").fill("0.4");
  await page.getByRole("region", { name: "Findings" }).getByText(/ideality of 0\.4/).waitFor();
  await page.getByText("these are the last that could be drawn").waitFor();
}));

test("form and text are one state", long, () => withCard(async (page, served) => {
  const box = await openText(page);
  const element = await box.elementHandle();
  await field(page, "source").fill("sheet 8");
  const typed = coupler.replace("sheet 7", "sheet 8");
  await shows(page, element, typed);
  // Into the text at once, before the field's change was answered; neither is lost.
  const letGo = await holdBack(page, "**/try");
  await field(page, "title").fill("Winder's coupler");
  await box.fill(`${typed}# of the night shift\n`);
  await letGo();
  const both = `${typed.replace("Winder coupler", "Winder's coupler")}# of the night shift\n`;
  await shows(page, element, both);
  await page.getByRole("heading", { level: 1, name: "Winder's coupler" }).waitFor();
  // A text that cannot be read takes the fields away until it can.
  await box.fill("name = ");
  await page.getByText("its figures cannot be shown one by one").waitFor();
  await box.fill(both);
  assert.equal(await field(page, "title").inputValue(), "Winder's coupler");
  await page.getByRole("button", { name: "Give up changes" }).click();
  await shows(page, element, coupler);
  assert.equal(await field(page, "source").inputValue(), "sheet 7");
  assert.equal(served.text(file), coupler);
}));

test("a card that changed outside is not written over", long, () => withCard(async (page, served) => {
  await field(page, "source").fill("sheet 8");
  const outside = `${coupler}# written outside\n`;
  writeFileSync(join(served.folder, file), outside);
  await page.getByText("This card was changed outside.").waitFor();
  assert.equal(await field(page, "source").inputValue(), "sheet 8");
  await save(page).click();
  await page.getByRole("alert").filter({ hasText: "has changed outside meanwhile" }).waitFor();
  assert.equal(served.text(file), outside);
  await page.getByRole("button", { name: "Take the file's" }).click();
  assert.equal(await field(page, "source").inputValue(), "sheet 7");
  page.troubles = page.troubles.filter((trouble) => !trouble.includes("409"));
}));

test("with keys alone", long, () => withCard(async (page, served) => {
  const focused = () => page.evaluate(() => document.activeElement?.getAttribute("aria-label") ?? document.activeElement?.textContent);
  const tabTo = async (name) => {
    for (let presses = 0; presses < 120 && !(await focused())?.startsWith(name); presses += 1) await page.keyboard.press("Tab");
    assert.ok((await focused())?.startsWith(name), `${name} is reached`);
  };
  await tabTo("What the card does not say");
  await page.keyboard.press("Enter");
  await field(page, "series resistance").waitFor();
  await tabTo("series resistance");
  await page.keyboard.press("Control+A");
  await page.keyboard.type("2");
  await page.getByText("Written as 2 Ω").waitFor();
  assert.equal(await focused(), "series resistance", "the field stays where it is");
  await page.keyboard.press("Control+S");
  await status(page, "Saved as winder.");
  assert.equal(served.text(file), coupler.replace("# typical\n", "# typical\nseries_resistance = \"2 Ω\"\n"));
  assert.equal(await focused(), "series resistance", "and so it does when it is saved");
  // Emptied, it is taken out again.
  await page.keyboard.press("Control+A");
  await page.keyboard.press("Delete");
  await page.getByText("assumed 1.5 Ω").waitFor();
  await page.keyboard.press("Control+S");
  await status(page, "Saved as winder.");
  assert.equal(served.text(file), coupler);
}));

test("a shipped card is saved under a name of one's own, and that is shown", long, () => withCard(async (page, served) => {
  await field(page, "gain").fill("250 (200 .. 400)");
  await save(page).click();
  await page.getByText("transistor · my-npn-small").waitFor();
  assert.match(served.text("my-npn-small.card.toml"), /^gain = "250 \(200 \.\. 400\)"$/m);
  assert.equal(await field(page, "gain").inputValue(), "250 (200 .. 400)");
}, { name: "Small npn transistor" }));

for (const [width, height] of [[1440, 900], [1024, 768], [390, 844]]) {
  test(`with all its fields it can be read and used, ${width} × ${height}`, long, () => withCard(async (page) => {
    await unfold(unsaid(page));
    await field(page, "forward").fill("1.2 A at 10 mA");
    await page.getByText("a voltage is in volts, not amperes").waitFor();
    await openText(page);
    for (const colorScheme of ["light", "dark"]) {
      await page.emulateMedia({ colorScheme });
      assert.deepEqual(await violations(page), []);
      await photograph(page, `card-form-${width}-${colorScheme}`);
    }
    assert.ok(await overflow(page) <= 0, "wider than the window");
    // Every value is seen whole, in letters and boxes that are large enough.
    const small = await page.locator(".card-form input, .card-form select, .card-form label, .card-form small").evaluateAll((all) =>
      all.filter((at) => at.textContent || at.value).filter((at) => {
        const box = at.getBoundingClientRect();
        const control = at.matches("input, select");
        return parseFloat(getComputedStyle(at).fontSize) < 11 || (control && box.height < 24) || at.scrollWidth > at.clientWidth + 1;
      }).map((at) => at.getAttribute("aria-label") ?? at.textContent));
    assert.deepEqual(small, []);
  }, { width, height }));
}
