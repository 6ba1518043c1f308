// Links with values still to be chosen: drawn and told of, not judged, until a value is there.
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import {
  atRest, downloaded, exampleText, folderWith, launch, open, openLink, overflow, pastOf, photograph, saved, Served, unfold, violations,
} from "./page_scene.mjs";

const night = "speed/night-silence.link.toml";
const chime = "speed/chime-bus.link.toml";
// The shipped examples with a value to be chosen, and which.
const shipped = [
  { title: "Night silence, in time", file: "night-silence.link.toml", open: "R2", states: ["day", "night"], promises: 4 },
  { title: "Chime bus, in time", file: "chime-bus.link.toml", open: "R4", states: ["mark", "space"], promises: 3 },
];

let browser;
let served;
let page;

before(async () => {
  browser = await launch();
  served = await Served.start(folderWith({
    "night-silence.link.toml": night,
    "chime-bus.link.toml": chime,
    "by-hand.link.toml": { text: exampleText(night).replace("Night silence, in time", "By hand") },
  }));
  page = await open(browser, served);
});

after(async () => {
  await browser?.close();
  await served?.endAndRemove();
});

async function toLink(title, screen) {
  await page.goto(`${served.origin}/#/`);
  await page.getByRole("heading", { name: "Links" }).waitFor();
  await openLink(page, title, screen);
}

const schematic = () => page.getByRole("group", { name: "Schematic", exact: true });

for (const { title, file, open: part, states, promises } of shipped) {
  test(`${title} is drawn, with ${part} to be chosen`, async () => {
    await toLink(title, "Circuit");
    await schematic().locator("svg").waitFor();
    const drawn = schematic().locator(`[data-part="${part}"]`);
    assert.match(await drawn.textContent(), /to be chosen/);
    assert.equal(await schematic().getByText("to be chosen").count(), 1);
    assert.ok((await schematic().locator("[data-part]").count()) >= 6);
    await schematic().getByRole("button", { name: `${part}, to be chosen` }).waitFor();
    // No words of the drawing lie on others.
    await atRest(page);
    const boxes = await schematic().locator("svg text").evaluateAll((texts) =>
      texts.map((text) => { const { left, right, top, bottom } = text.getBoundingClientRect(); return { text: text.textContent, left, right, top, bottom }; }));
    for (const a of boxes) {
      for (const b of boxes) {
        if (a === b) continue;
        const apart = a.right <= b.left || b.right <= a.left || a.bottom - 1 <= b.top || b.bottom - 1 <= a.top;
        assert.ok(apart, `"${a.text}" lies on "${b.text}"`);
      }
    }
    const list = page.getByRole("list", { name: "Parts" });
    await list.getByRole("button", { name: `${part} to be chosen` }).waitFor();
    // States are there to be looked at; nothing has a verdict.
    for (const state of states) {
      await page.getByRole("radio", { name: state }).check();
      await page.getByRole("group", { name: `${title}, state ${state}` }).waitFor();
    }
    const told = page.getByRole("list", { name: "Promises" }).getByRole("listitem");
    assert.equal(await told.count(), promises);
    assert.equal(await told.getByText("not judged").count(), promises);
    assert.equal(await page.locator(".verdict.kept, .verdict.thin, .verdict.broken").count(), 0);
    await page.getByRole("region", { name: "Cautions" }).getByText("On a solderless board").waitFor();
    await page.getByText(`${part} is still to be chosen: until then nothing can be judged.`).first().waitFor();
    assert.equal(served.text(file), exampleText(`speed/${file}`));
  });
}

test("what it shows is in order in both widths and colour schemes", async () => {
  await toLink("Night silence, in time", "Circuit");
  await schematic().locator("svg").waitFor();
  await unfold(page.getByRole("list", { name: "Promises" }).locator("summary").first());
  for (const width of [1280, 390]) {
    await page.setViewportSize({ width, height: 900 });
    for (const colorScheme of ["light", "dark"]) {
      await page.emulateMedia({ colorScheme });
      assert.deepEqual(await violations(page), [], `${width} ${colorScheme}`);
      assert.ok((await overflow(page)) <= 0, `${width} scrolls sideways`);
      await photograph(page, `unchosen-${width}-${colorScheme}`);
    }
  }
  await page.setViewportSize({ width: 1280, height: 900 });
  await page.emulateMedia({ colorScheme: "light" });
});

test("the screens that need a verdict say what is missing and where to find it", async () => {
  for (const [screen, act] of [["Proof", "prove"], ["Build", "build"], ["Bench", "measure"]]) {
    await toLink("Night silence, in time", screen);
    await page.getByText(`There is nothing to ${act} yet. R2 is still to be chosen`).waitFor();
    assert.deepEqual(await violations(page), []);
  }
  await page.getByRole("link", { name: "Find values" }).click();
  await page.getByRole("button", { name: "Design" }).waitFor();
  assert.deepEqual(page.troubles, []);
});

test("the report holds the drawing, and names the command", async () => {
  await toLink("Night silence, in time", "Circuit");
  await unfold(page.locator("summary", { hasText: "Export" }));
  assert.equal(await page.getByRole("link", { name: /Build sheet/ }).count(), 0);
  assert.equal(await page.getByRole("link", { name: "Figures, JSON" }).count(), 0);
  const html = await downloaded(page, () => page.getByRole("link", { name: "Report, HTML" }).click());
  assert.match(html, /to be chosen/);
  assert.match(html, /not judged/);
  assert.match(html, /gapwright design night-silence\.link\.toml -o night-silence-chosen\.link\.toml/);
  await page.locator("summary", { hasText: "Export" }).click();
});

test("a value typed is judged, and taken back it is to be chosen again", async () => {
  await toLink("By hand", "Circuit");
  await schematic().getByRole("button", { name: "R2, to be chosen" }).click();
  const value = page.getByRole("textbox", { name: "value of R2" });
  assert.equal(await value.inputValue(), "choose");
  await value.fill("4.7 kΩ ± 5 %");
  await value.press("Enter");
  await saved(page); // a trial is judged as well
  await page.locator(".sentence .verdict.kept, .sentence .verdict.thin, .sentence .verdict.broken").waitFor({ timeout: 120_000 });
  assert.equal(await schematic().getByText("to be chosen").count(), 0);
  assert.match(served.text("by-hand.link.toml"), /value = "4\.7 kΩ ± 5 %"/);
  await pastOf(page, "Undo").click();
  await schematic().getByText("to be chosen").waitFor();
  assert.equal(await page.locator(".sentence .verdict.kept, .sentence .verdict.broken").count(), 0);
  await page.getByText("R2 is still to be chosen: until then nothing can be judged.").first().waitFor();
  // A text that cannot be read leaves the drawing on the screen.
  if (!await value.count()) await schematic().getByRole("button", { name: "R2, to be chosen" }).click();
  await value.fill("4.7 kOhmz");
  await page.locator(".at-field").first().waitFor();
  await schematic().getByText("to be chosen").waitFor();
  await value.press("Escape");
  assert.deepEqual(page.troubles, []);
});
