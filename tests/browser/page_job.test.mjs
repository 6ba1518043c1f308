// The whole job on the page, as a person does it: a need becomes a circuit, a change breaks a
// promise and is undone, the board is planned, readings of a faulty one name the fault, the report
// is exported. With a mouse, at the width of a telephone, and with nothing but the keyboard.
import assert from "node:assert/strict";
import { rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { after, before, test } from "node:test";
import {
  atRest, downloaded, folderWith, launch, nominal, open, openLink, pastOf, photograph, saved, Served, unfold, until, violations,
} from "./page_scene.mjs";

let browser;
before(async () => { browser = await launch(); });
after(async () => { await browser?.close(); });

const needs = { "bell-hammer.link.toml": "needs/bell-hammer.link.toml", "drawer.csv": "needs/drawer.csv" };

async function withPage(files, options, work) {
  const served = await Served.start(folderWith(files));
  try {
    const page = await open(browser, served, options);
    await work(page, served);
    assert.deepEqual(page.troubles, []);
    await page.context().close();
  } finally {
    await served.endAndRemove();
  }
}

const verdictOf = (page, quantity) =>
  page.getByRole("list", { name: "Promises" }).getByRole("listitem").filter({ hasText: quantity }).first();

// A board of the folder's link in which R1 is ten times as large as it should be: what a meter
// reads on it, by the program's own nominal point.
function faultyReadings(served, file) {
  const text = served.text(file);
  const value = /R1 = \{[^}]*value = "([\d.]+) (k?)Ω/.exec(text);
  const ohms = Number(value[1]) * (value[2] ? 1e3 : 1);
  const faulty = text.replace(value[0], value[0].replace(`${value[1]} ${value[2]}Ω`, `${ohms * 10} Ω`));
  assert.notEqual(faulty, text);
  const aside = "faulty.link.toml";
  writeFileSync(join(served.folder, aside), faulty);
  const check = nominal(served.folder, aside);
  rmSync(join(served.folder, aside));
  return { r1: `${ohms * 10}`, coil: `${check.states.on.voltages["output.coil"].toFixed(3)} V` };
}

async function type(page, name, text) {
  const field = page.getByRole("textbox", { name });
  await field.fill(text);
  await field.press("Enter");
}

test("need, design, change, build, bench and report of the bell hammer", async () => {
  await withPage(needs, {}, async (page, served) => {
    const need = served.text("bell-hammer.link.toml");
    await openLink(page, "Bell hammer", "Need");
    await page.getByRole("button", { name: "Design" }).click();
    const answers = page.getByRole("list", { name: "Answers" });
    await answers.waitFor({ timeout: 300_000 });
    await photograph(page, "job-answers");
    await atRest(page);
    const answer = (number) => page.getByRole("article", { name: `Answer ${number}`, exact: true });
    await answer(2).getByRole("button", { name: "Take this one" }).click();
    await verdictOf(page, "voltage supply to coil").getByText("kept").first().waitFor();
    const second = served.text("bell-hammer.link.toml");
    // The others can be come back to, and taken in its place. Both keep the promise: it is the file
    // that tells when the first has taken its place.
    await page.getByRole("link", { name: "Need", exact: true }).click();
    await page.getByText("The link is answer 2; the others can still be taken.").waitFor();
    await answer(1).getByRole("button", { name: "Take this one" }).click();
    await assertText(served, (text) => text !== second);
    await verdictOf(page, "voltage supply to coil").getByText("kept").first().waitFor();
    const designed = served.text("bell-hammer.link.toml");
    assert.ok(designed.startsWith(need.slice(0, 40)), "the need stands where it stood");
    assert.match(designed, /R1 = \{/);
    await saved(page); // and drawn: it is that circuit which is changed

    // A value that is far too large, typed as a person would, breaks a promise.
    await page.getByRole("button", { name: /^R1, / }).click();
    const value = page.getByRole("textbox", { name: "value of R1" });
    await value.fill("22k");
    await verdictOf(page, "voltage supply to coil").getByText("broken").first().waitFor();
    assert.equal(served.text("bell-hammer.link.toml"), designed, "a trial saves nothing");
    await value.press("Enter");
    await saved(page);
    await assertText(served, (text) => text.includes('value = "22k"'));
    const lines = (text) => text.split("\n").length;
    assert.equal(lines(served.text("bell-hammer.link.toml")), lines(designed), "one value changed");
    await photograph(page, "job-broken");
    await page.getByRole("button", { name: "Undo" }).click();
    await verdictOf(page, "voltage supply to coil").getByText("kept").first().waitFor();
    await assertText(served, (text) => text === designed);

    await page.getByRole("link", { name: "Build", exact: true }).click();
    await page.getByText(/step 1 of \d+/).waitFor({ timeout: 300_000 });
    await atRest(page);
    await page.getByRole("button", { name: /Next/ }).click();
    await page.getByText(/step 2 of \d+/).waitFor();

    await page.getByRole("link", { name: "Bench", exact: true }).click();
    await page.getByRole("list", { name: "Measurements" }).waitFor({ timeout: 300_000 });
    await benchFindsR1(page, served);
    await photograph(page, "job-bench");
    await page.getByRole("textbox", { name: "who measured" }).fill("the night shift");
    await page.getByRole("button", { name: "Record" }).click();
    await page.getByText(/Recorded in/).waitFor();

    await unfold(page.locator("details.menu summary"));
    const report = await downloaded(page, () => page.getByRole("link", { name: "Report, HTML" }).click());
    assert.match(report, /<h1>Bell hammer<\/h1>/);
  });
});

// Each picture of a kind puts something into its box that the file then states without a problem.
test("a need whose drive and load are chosen from pictures", async () => {
  await withPage({}, {}, async (page, served) => {
    const groups = [["kind of drive", 2], ["kind of load", 4]];
    let made = 0;
    for (let load = 0; load < 4; ++load) {
      const need = page.getByRole("radio", { name: "a need" });
      await unfold(page.locator("summary", { hasText: "New link" }));
      await need.check();
      for (const [group, count] of groups) {
        const kinds = page.getByRole("group", { name: group }).getByRole("button");
        assert.equal(await kinds.count(), count);
        const kind = kinds.nth(load % count);
        await kind.click();
        assert.equal(await kind.getAttribute("aria-pressed"), "true");
      }
      await page.getByLabel("name of the file").fill(`pictured-${load}`);
      await page.getByRole("button", { name: "Make this link" }).click();
      await page.getByRole("button", { name: "Design" }).waitFor();
      assert.equal(await page.locator(".problem").count(), 0, served.text(`pictured-${load}.link.toml`));
      await page.goto(`${served.origin}/#/`);
      await page.getByRole("heading", { name: "Links" }).waitFor();
      ++made;
    }
    assert.equal(made, 4);
    assert.match(served.text("pictured-0.link.toml"), /drive = \{ kind = "contact"/);
    assert.match(served.text("pictured-2.link.toml"), /load = \{ kind = "indicator"/);
  });
});

// As a newcomer types it, with shipped cards and nothing else; no file is opened by hand.
test("a first need from an empty folder: design, take, build, bench", async () => {
  await withPage({}, {}, async (page, served) => {
    await page.getByRole("radio", { name: "a need" }).check();
    const first = {
      title: "Yard lamp",
      "what drives it": "logic-output-3v3",
      "what it switches": "relay-coil-12v",
      "input supply": "3.3V",
      "output supply": "12v",
    };
    for (const [name, text] of Object.entries(first)) await page.getByLabel(name).first().fill(text);
    await page.getByRole("button", { name: "Make this link" }).click();
    await page.getByRole("button", { name: "Design" }).click();
    await page.getByRole("list", { name: "Answers" }).waitFor({ timeout: 300_000 });
    await photograph(page, "first-need-answers");
    await atRest(page);
    await page.getByRole("button", { name: "Take this one" }).first().click();
    await verdictOf(page, "voltage supply to coil").getByText("kept").first().waitFor();
    assert.match(served.text("yard-lamp.link.toml"), /supply = "3\.3 V"/);
    await page.getByRole("link", { name: "Build", exact: true }).click();
    await page.getByText(/step 1 of \d+/).waitFor({ timeout: 300_000 });
    await page.getByRole("link", { name: "Bench", exact: true }).click();
    await page.getByRole("list", { name: "Measurements" }).waitFor({ timeout: 300_000 });
    await photograph(page, "first-need-bench");
  });
});

async function assertText(served, holds) {
  const text = () => served.text("bell-hammer.link.toml");
  await until("the file comes to it", () => holds(text())).catch(({ message }) => assert.fail(`${message}\n${text()}`));
}

// Types what a faulty board reads where it is asked for; the likeliest suspect must be R1.
async function benchFindsR1(page, served) {
  const faulty = faultyReadings(served, "bell-hammer.link.toml");
  await type(page, /reading \d+: resistance across R1/, faulty.r1);
  await page.getByText("✗ wrong").first().waitFor({ timeout: 120_000 });
  const coil = page.getByRole("textbox", { name: /reading \d+: voltage at coil/ }).first();
  if (await coil.count()) {
    await coil.fill(faulty.coil);
    await coil.press("Enter");
  }
  const first = page.getByRole("list", { name: "Suspects" }).getByRole("listitem").first();
  await first.filter({ hasText: "R1" }).waitFor({ timeout: 120_000 });
}

test("the bench at the width of a telephone", async () => {
  await withPage({ "bell-hammer.link.toml": "bell-hammer.link.toml" }, { width: 390, height: 844 },
    async (page, served) => {
      await openLink(page, "Bell hammer", "Bench");
      await page.getByRole("list", { name: "Measurements" }).waitFor({ timeout: 300_000 });
      await benchFindsR1(page, served);
      await atRest(page);
      const sideways = await page.evaluate(
        () => document.documentElement.scrollWidth - document.documentElement.clientWidth);
      assert.ok(sideways <= 0, `scrolls sideways by ${sideways} px`);
      const small = await page.evaluate(() => [...document.querySelectorAll(".sheet-lines input, .record button")]
        .filter((e) => e.getBoundingClientRect().height < 44).length);
      assert.equal(small, 0, "fingers need 44 px");
      await photograph(page, "job-bench-390");
      // A reload loses nothing that was typed.
      await page.reload();
      const r1 = page.getByRole("textbox", { name: /reading \d+: resistance across R1/ });
      await r1.waitFor({ timeout: 300_000 });
      assert.notEqual(await r1.inputValue(), "");
    });
});

// On a telephone: the stop is in sight, what is asked for next has the focus, and nothing that needs
// power can be typed.
test("a way across the gap ends the bench at once", async () => {
  await withPage({ "bell-hammer.link.toml": "bell-hammer.link.toml" }, { width: 390, height: 844 },
    async (page) => {
      await openLink(page, "Bell hammer", "Bench");
      const first = page.getByRole("textbox", { name: /^reading 1: isolation/ });
      await first.waitFor({ timeout: 300_000 });
      await first.fill("22.1k");
      await first.press("Enter");
      const stop = page.getByRole("alert").filter({ hasText: "Do not switch on" });
      await stop.waitFor({ timeout: 120_000 });
      const asked = page.getByRole("textbox", { name: /^next: isolation / });
      await asked.waitFor();
      await page.waitForFunction(() => document.activeElement?.getAttribute("aria-label")?.startsWith("next: "));
      await atRest(page); // it was scrolled to
      const box = await stop.boundingBox();
      assert.ok(box.y >= 0 && box.y + box.height <= 844, `the stop lies from ${box.y} px on`);
      assert.ok((await page.getByText("not while the sides are joined").count()) > 0);
      assert.equal(await page.getByRole("textbox", { name: /^reading \d+: voltage/ }).count(), 0);
      await photograph(page, "job-bench-joined-390");
      // Enter leads from one question to the next.
      await asked.fill("OL");
      await asked.press("Enter");
      await page.waitForFunction(() => document.activeElement?.getAttribute("aria-label")?.startsWith("next: ") &&
        document.activeElement.value === "");
    });
});

test("a value as people type it is shown and saved as files write it", async () => {
  await withPage({ "bell-hammer.link.toml": "bell-hammer.link.toml" }, {}, async (page, served) => {
    await openLink(page, "Bell hammer");
    await page.getByRole("button", { name: /^R1, / }).click();
    const value = page.getByRole("textbox", { name: "value of R1" });
    await value.fill("470");
    await page.getByText("Written as 470 Ω").waitFor();
    assert.match(served.text("bell-hammer.link.toml"), /R1 = .*value = "330 Ω/, "a trial saves nothing");
    await photograph(page, "job-typed");
    await value.press("Enter");
    await page.waitForFunction(() => document.querySelector('[aria-label="value of R1"]')?.value === "470 Ω");
    await assertText(served, (text) => text.includes('value = "470 Ω"'));
    await page.getByText("Written as").waitFor({ state: "detached" });
    // What can be read in two ways is told with both, and mended by typing on.
    await value.fill("1,500");
    await page.getByText('write "1.500 Ω" or "1500 Ω"').waitFor();
    await value.fill("1500");
    await page.getByText("Written as 1500 Ω").waitFor();
    await page.getByText('write "1.500 Ω"').waitFor({ state: "detached" });
    await value.press("Escape");
    await page.waitForFunction(() => document.querySelector('[aria-label="value of R1"]')?.value === "470 Ω");
    // A share that files would take as half of the time: refused until it says which.
    await unfold(page.locator("summary").filter({ has: page.getByText("Surroundings", { exact: true }) }));
    const duty = page.getByRole("textbox", { name: "share of time in the first state" });
    await duty.fill("0.5");
    await duty.press("Enter");
    await page.getByText('write "50 %" or "0.5 %"').waitFor();
    await duty.fill("5");
    await page.getByText("Written as 5 %").waitFor();
    await duty.press("Enter");
    await assertText(served, (text) => text.includes('duty = "5 %"'));
    const stretch = page.getByRole("textbox", { name: "asked stretch" });
    await stretch.fill("1.1");
    await stretch.press("Enter");
    await assertText(served, (text) => text.includes('stretch = "1.1"'));
    await page.getByText("; asked: 1.1.").waitFor();
    assert.deepEqual(await violations(page), []);
    // The browser tells of a refusal as well: that one is wanted.
    page.troubles = page.troubles.filter((trouble) => !trouble.includes("status of 422"));
  });
});

// Tab until the thing of that role and name has the focus.
async function tabTo(page, locator, key = "Tab") {
  for (let k = 0; k < 250; ++k) {
    if (await locator.evaluateAll((all) => all.includes(document.activeElement))) return;
    await page.keyboard.press(key);
  }
  assert.fail(`the keyboard never came to ${locator}`);
}

// Another screen takes the keyboard when it is drawn: what is pressed before that is pressed in vain.
async function enterScreen(page) {
  assert.notEqual(await page.evaluate(() => document.activeElement?.id), "main");
  await page.keyboard.press("Enter");
  await page.waitForFunction(() => document.activeElement?.id === "main");
}

test("the whole job by the keyboard alone", async () => {
  await withPage(needs, {}, async (page, served) => {
    await tabTo(page, page.getByRole("link", { name: "Bell hammer", exact: true }));
    await enterScreen(page);
    await page.getByRole("heading", { level: 1, name: "Bell hammer" }).waitFor();
    await tabTo(page, page.getByRole("link", { name: "Need", exact: true }));
    await page.keyboard.press("Enter"); // a need opens there already
    await tabTo(page, page.getByRole("button", { name: "Design" }));
    await page.keyboard.press("Enter");
    await page.getByRole("list", { name: "Answers" }).waitFor({ timeout: 300_000 });
    await tabTo(page, page.getByRole("article").filter({ hasText: "fewest parts" })
      .getByRole("button", { name: "Take this one" }));
    await enterScreen(page);
    const part = page.getByRole("button", { name: /^R1, / });
    await part.waitFor();
    const designed = served.text("bell-hammer.link.toml");
    await tabTo(page, part);
    await page.keyboard.press("Enter");
    const value = page.getByRole("textbox", { name: "value of R1" });
    await value.waitFor();
    await atRest(page); // the next key is for it by now
    await tabTo(page, value);
    await page.keyboard.press("Control+a");
    await page.keyboard.type("22k");
    await page.keyboard.press("Enter");
    await verdictOf(page, "voltage supply to coil").getByText("broken").first().waitFor();
    await assertText(served, (text) => text.includes('"22k"'));
    await saved(page);
    await tabTo(page, pastOf(page, "Undo"), "Shift+Tab");
    await page.keyboard.press("Enter");
    await assertText(served, (text) => text === designed);
    await tabTo(page, page.getByRole("link", { name: "Build", exact: true }), "Shift+Tab");
    await enterScreen(page);
    await page.getByText(/step 1 of \d+/).waitFor({ timeout: 300_000 });
    await tabTo(page, page.getByRole("button", { name: /Next/ }));
    await page.keyboard.press("Enter");
    await page.getByText(/step 2 of \d+/).waitFor();
    await tabTo(page, page.getByRole("link", { name: "Bench", exact: true }), "Shift+Tab");
    await enterScreen(page);
    await page.getByRole("list", { name: "Measurements" }).waitFor({ timeout: 300_000 });
    await tabTo(page, page.getByRole("textbox", { name: /reading \d+: resistance across R1/ }));
    await page.keyboard.type(faultyReadings(served, "bell-hammer.link.toml").r1);
    await page.keyboard.press("Enter");
    await page.getByText("✗ wrong").first().waitFor({ timeout: 120_000 });
    await page.getByRole("list", { name: "Suspects" }).getByRole("listitem").first()
      .filter({ hasText: "R1" }).waitFor({ timeout: 120_000 });
    await atRest(page); // the keyboard was led to the next question
    await tabTo(page, page.locator("details.menu summary"), "Shift+Tab");
    await page.keyboard.press("Enter");
    await tabTo(page, page.getByRole("link", { name: "Report, HTML" }));
    assert.match(await downloaded(page, () => page.keyboard.press("Enter")), /<h1>Bell hammer<\/h1>/);
  });
});
