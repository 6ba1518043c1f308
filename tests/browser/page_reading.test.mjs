// Whether everything can be read: no label of any picture below 11 px where it is first shown, no
// words over others, verdict, drawing and first promise in the first screen, at three sizes; at the
// bench on a telephone box, verdict and what comes next. A `WINDOW` is what people hold.
//
// Environment: as page_scene.mjs.
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import {
  atRest, folderWith, launch, open, openLink, overflow, photograph, Served, unfold, until, violations,
} from "./page_scene.mjs";

const windows = [[1440, 900], [1024, 768], [390, 844]];
const links = {
  "bell-hammer.link.toml": "bell-hammer.link.toml", "chime-bus.link.toml": "chime-bus.link.toml",
  "lamp-watch.link.toml": "lamp-watch.link.toml", "winder-motor.link.toml": "winder-motor.link.toml",
};
const titles = ["Bell hammer", "Chime bus", "Lamp watch", "Winder motor"];
let browser;

before(async () => {
  browser = await launch();
});
after(() => browser?.close());

// A window of that size on a folder of its own: an address opens once.
async function withWindow(width, height, work) {
  const served = await Served.start(folderWith(links));
  try {
    const page = await open(browser, served, { width, height });
    await work(page, served);
    assert.deepEqual(page.troubles, []);
    await page.context().close();
  } finally {
    await served.endAndRemove();
  }
}

// Every text of the pictures on the screen: how high its letters are set, in pixels of the window.
const smallest = (page) => page.evaluate(() => {
  const found = [...document.querySelectorAll("main svg text")].filter((text) => text.getBoundingClientRect().width > 0);
  return found.map((text) => {
    const matrix = text.getScreenCTM();
    const size = parseFloat(getComputedStyle(text).fontSize) * Math.hypot(matrix.a, matrix.b);
    return { text: text.textContent, size: Math.round(size * 100) / 100 };
  }).sort((a, b) => a.size - b.size)[0];
});

// Pairs of texts of one drawing that lie on each other.
const overprinted = (page, within) => page.evaluate((selector) => {
  const boxes = [...document.querySelectorAll(`${selector} svg text`)].map((text) => [text.textContent, text.getBoundingClientRect()]);
  const pairs = [];
  for (const [a, x] of boxes) {
    for (const [b, y] of boxes) {
      if (x === y || x.right <= y.left + 1 || y.right <= x.left + 1 || x.bottom <= y.top + 2 || y.bottom <= x.top + 2) continue;
      pairs.push(`${a} on ${b}`);
    }
  }
  return pairs;
}, within);

const inSight = async (locator, height) => {
  const box = await locator.boundingBox();
  return box !== null && box.y >= 0 && box.y + Math.min(box.height, 24) <= height;
};

// A board's drawing moved to its lower right corner: row numbers and column letters came along.
async function expectNamesInSight(frame) {
  await frame.evaluate((at) => at.scrollTo(at.scrollWidth, at.scrollHeight));
  const seen = () => frame.evaluate((at) => {
    const edge = at.getBoundingClientRect();
    const inside = (text) => {
      const box = text.getBoundingClientRect();
      return box.left >= edge.left && box.right <= edge.right && box.top >= edge.top && box.bottom <= edge.bottom;
    };
    const count = (name) => [...at.querySelectorAll(`.ruler.${name} text`)].filter(inside).length;
    return { moved: at.scrollLeft + at.scrollTop > 0, rows: Math.max(count("left"), count("right")), columns: Math.max(count("head"), count("foot")) };
  });
  await until("row numbers and column letters are in sight", async () => {
    const { rows, columns } = await seen();
    return rows >= 3 && columns >= 3;
  }).catch(async ({ message }) => assert.fail(`${message}: ${JSON.stringify(await seen())}`));
}

for (const [width, height] of windows) {
  test(`a circuit is seen whole enough to be read, ${width} × ${height}`, () => withWindow(width, height, async (page, served) => {
    for (const title of titles) {
      await openLink(page, title);
      await page.getByRole("group", { name: "Schematic", exact: true }).locator("svg").waitFor();
      await atRest(page);
      const least = await smallest(page);
      assert.ok(least.size >= 11, `${title}: "${least.text}" is ${least.size} px`);
      assert.deepEqual(await overprinted(page, ".stage"), [], title);
      assert.ok(await overflow(page) <= 0, `${title} is wider than the window`);
      assert.ok(await inSight(page.locator(".sentence"), height), `${title}: the verdict`);
      assert.ok(await inSight(page.locator(".stage svg .beam").first(), height), `${title}: the light`);
      assert.ok(await inSight(page.getByRole("list", { name: "Promises" }).getByRole("listitem").first(), height), `${title}: the first promise`);
      // What does not fit has a sign.
      const cut = await page.locator(".sheet-of").first().evaluate((at) => at.scrollWidth > at.clientWidth + 2 || at.scrollHeight > at.clientHeight + 2);
      assert.equal(await page.getByText("There is more of the drawing").count() > 0, cut, title);
      await page.goto(`${served.origin}/#/`);
    }
  }));

  test(`proof and board can be read, ${width} × ${height}`, () => withWindow(width, height, async (page, served) => {
    await openLink(page, "Bell hammer", "Proof");
    await page.getByRole("heading", { name: "Load lines" }).waitFor({ timeout: 300_000 });
    await atRest(page);
    let least = await smallest(page);
    assert.ok(least.size >= 11, `proof: "${least.text}" is ${least.size} px`);
    await page.getByRole("link", { name: "Build", exact: true }).click();
    await page.getByRole("region", { name: "Steps" }).waitFor({ timeout: 120_000 });
    await atRest(page);
    await page.getByRole("button", { name: "Next ›" }).click();
    await page.getByRole("group", { name: "Picture of step 2", exact: true }).locator("svg").waitFor();
    await atRest(page);
    least = await smallest(page);
    assert.ok(least.size >= 11, `board: "${least.text}" is ${least.size} px`);
    assert.ok(await overflow(page) <= 0, "wider than the window");
    await photograph(page, `reading-build-${width}`);
    await expectNamesInSight(page.getByRole("group", { name: "Picture of step 2", exact: true }));
  }));
}

test("at the bench on a telephone the box, the verdict and what comes next are in one screen", () => withWindow(390, 844, async (page) => {
  const height = 844;
  await openLink(page, "Bell hammer", "Bench");
  const next = page.getByRole("group", { name: "Measure next" });
  await next.waitFor({ timeout: 300_000 });
  await next.getByRole("group", { name: "Where the leads go" }).locator("svg .probe").first().waitFor();
  for (const reading of ["OL", "OL", "33k"]) {
    await atRest(page); // the answer to the last reading may ask for another
    const box = next.getByRole("textbox");
    const before = await box.getAttribute("aria-label");
    await box.fill(reading);
    await box.press("Enter");
    await page.waitForFunction((name) => document.querySelector(".next input:not([type=radio])")?.getAttribute("aria-label") !== name, before, { timeout: 120_000 });
  }
  await page.getByRole("list", { name: "Suspects" }).waitFor({ timeout: 120_000 });
  await atRest(page);
  assert.ok(await inSight(page.locator(".outcome"), height), "the verdict");
  assert.ok(await inSight(next.getByRole("textbox"), height), "the box");
  assert.ok(await inSight(next.getByRole("heading"), height), "what comes next");
  assert.ok(await inSight(page.getByRole("list", { name: "Suspects" }).getByRole("listitem").first(), height), "the first suspect");
  const least = await smallest(page);
  assert.ok(least.size >= 11, `"${least.text}" is ${least.size} px`);
  await photograph(page, "reading-bench-390");
}));

// The meter's leads whose tips lie outside their frame.
function tipsOutside(at) {
  const edge = at.getBoundingClientRect();
  return [...at.querySelectorAll("svg .probe .tip")].filter((tip) => {
    const box = tip.getBoundingClientRect();
    return box.left < edge.left || box.right > edge.right || box.top < edge.top || box.bottom > edge.bottom;
  }).map((tip) => tip.closest(".probe").textContent);
}

for (const [width, height] of [windows[0], windows[2]]) {
  test(`the leads are shown on the circuit or on the board, ${width} × ${height}`, () => withWindow(width, height, async (page, served) => {
    await openLink(page, "Bell hammer", "Bench");
    const next = page.getByRole("group", { name: "Measure next" });
    const frame = next.getByRole("group", { name: "Where the leads go" });
    await frame.locator("svg .probe").first().waitFor({ timeout: 300_000 });
    assert.equal(await frame.locator(".ruler").count(), 0);
    // By the keyboard: the two are one stop, arrows choose.
    await next.getByRole("radio", { name: "circuit" }).focus();
    await page.keyboard.press("ArrowRight");
    assert.equal(await next.getByRole("radio", { name: "board" }).isChecked(), true);
    await frame.locator("svg .ruler").first().waitFor({ timeout: 120_000 });
    await next.getByText("solderless board of 30 rows").waitFor();
    for (const [reading, measure] of [["OL", "isolation"], ["OL", "isolation reversed"], ["33k", "resistance across R1"]]) {
      await next.getByRole("heading", { name: new RegExp(`: ${measure}$`) }).waitFor({ timeout: 120_000 });
      await frame.locator("svg title", { hasText: new RegExp(`: ${measure}$`) }).waitFor({ state: "attached" });
      await atRest(page);
      assert.deepEqual(await frame.evaluate(tipsOutside), [], `${measure}: both leads are in sight`);
      const words = await frame.locator("svg .probe text").allTextContents();
      assert.match(words.join(" "), /^red [a-j]\d+ black [a-j]\d+$/, measure);
      const least = await smallest(page);
      assert.ok(least.size >= 11, `"${least.text}" is ${least.size} px`);
      await next.getByRole("textbox").fill(reading);
      await next.getByRole("textbox").press("Enter");
    }
    await page.getByRole("list", { name: "Suspects" }).waitFor({ timeout: 120_000 });
    await until("the parts under suspicion are framed", async () => await frame.locator("svg .suspect").count() > 0);
    await atRest(page);
    assert.ok(await overflow(page) <= 0, "wider than the window");
    assert.deepEqual(await violations(page), []);
    await photograph(page, `reading-bench-board-${width}`);
    await expectNamesInSight(frame);
    // Kept for the window, and for the next link.
    await page.goto(`${served.origin}/#/`);
    await page.reload();
    await openLink(page, "Lamp watch", "Bench");
    await frame.locator("svg .ruler").first().waitFor({ timeout: 300_000 });
    assert.equal(await next.getByRole("radio", { name: "board" }).isChecked(), true);
    await next.getByRole("radio", { name: "circuit" }).check();
    await frame.locator("svg:not(:has(.ruler)) .probe").first().waitFor();
  }));
}

test("what is ticked while building is still ticked when the page is opened anew", () => withWindow(1280, 900, async (page) => {
  await openLink(page, "Bell hammer", "Build");
  const done = page.getByRole("checkbox", { name: "done" });
  await done.waitFor({ timeout: 120_000 });
  await atRest(page);
  await done.check();
  await page.reload();
  await done.waitFor({ timeout: 120_000 });
  assert.equal(await done.isChecked(), true);
  await atRest(page);
  await page.getByRole("button", { name: "Next ›" }).click();
  assert.equal(await done.isChecked(), false);
  assert.equal(await page.getByRole("listitem").filter({ hasText: "Take the board" }).getByText("✓").count(), 1);
}));

test("two links, and the answers of a need, stand side by side", () => withWindow(1280, 900, async (page, served) => {
  await openLink(page, "Bell hammer");
  await unfold(page.locator("summary").filter({ has: page.getByRole("heading", { name: "Compare" }) }));
  await page.getByRole("combobox", { name: "with" }).selectOption({ label: "Winder motor, winder-motor.link.toml" });
  const table = page.getByRole("table", { name: "Bell hammer beside Winder motor" });
  await table.waitFor();
  assert.deepEqual(await table.getByRole("row").filter({ hasText: "R1" }).getByRole("cell").allTextContents(), ["330 Ω ± 5 %", "330 Ω ± 5 %"]);
  assert.equal(await table.locator("tr.differs").filter({ hasText: "R1" }).count(), 0);
  assert.equal(await table.locator("tr.differs").filter({ hasText: "R2" }).count(), 1);
  assert.equal(served.text("bell-hammer.link.toml").includes("330"), true);
}));

test("the drawing is enlarged and moved by keys, wheel and buttons", () => withWindow(1024, 768, async (page) => {
  await openLink(page, "Bell hammer");
  const sheet = page.getByRole("group", { name: "Schematic", exact: true });
  await sheet.locator("svg").waitFor();
  await atRest(page);
  const wide = () => sheet.locator("svg").evaluate((svg) => svg.getBoundingClientRect().width);
  const first = await wide();
  await sheet.focus();
  await page.keyboard.press("+");
  assert.ok(await wide() > 1.2 * first, "plus enlarges");
  await page.keyboard.press("0");
  assert.equal(Math.round(await wide()), Math.round(first), "nought fits");
  await page.getByRole("button", { name: "Larger" }).click();
  assert.ok(await wide() > 1.2 * first, "the button enlarges");
  const { x, y } = await sheet.boundingBox();
  await page.mouse.move(x + 400, y + 150);
  await page.keyboard.down("Control");
  await page.mouse.wheel(0, -200);
  await page.keyboard.up("Control");
  await until("control and the wheel enlarge", async () => await wide() > 1.5 * first);
  await atRest(page);
  const before = await sheet.evaluate((at) => at.scrollLeft);
  await sheet.focus();
  await page.keyboard.press("ArrowRight");
  await page.waitForFunction(([at]) => document.querySelector(".sheet-of").scrollLeft > at, [before]);
}));

test("a part is four keys from its value at most, and is switched in the drawing", () => withWindow(1280, 900, async (page) => {
  await openLink(page, "Bell hammer");
  await page.getByRole("button", { name: /^R1, 330/ }).focus();
  await page.keyboard.press("Enter");
  await atRest(page); // the keyboard was led on
  let presses = 0;
  while (presses <= 4 && !await page.evaluate(() => document.activeElement?.getAttribute("aria-label")?.startsWith("value of R1"))) {
    await page.keyboard.press("Tab");
    presses += 1;
  }
  assert.ok(presses <= 4, `${presses} presses`);
  await page.getByRole("button", { name: /^P1, .*switch to state off/ }).press("Enter");
  await page.getByRole("group", { name: "Bell hammer, state off" }).waitFor();
  await page.getByText("let go", { exact: true }).waitFor();
  assert.equal(await page.getByRole("radio", { name: "off" }).isChecked(), true);
  await atRest(page);
  await page.getByRole("button", { name: /^P1, .*switch to state on/ }).click();
  await page.getByText("pulled in", { exact: true }).waitFor();
}));
