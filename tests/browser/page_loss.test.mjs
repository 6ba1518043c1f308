// Nothing that was typed is lost, and nothing of somebody else's is overwritten unasked: the program
// ends or hangs, the disk is full, the file is changed or taken away outside, two windows are open.
import assert from "node:assert/strict";
import { existsSync, rmSync, writeFileSync } from "node:fs";
import { spawnSync } from "node:child_process";
import { join } from "node:path";
import { after, before, test } from "node:test";
import {
  arrived, drawn, exampleText, folderWith, holdBack, launch, open, openLink, pastOf, photograph, pressUntil, saved, Served, unfold,
  until,
} from "./page_scene.mjs";

const file = "bell-hammer.link.toml";
const original = exampleText(file);
const valueOf = (name, value, text = original) =>
  text.replace(new RegExp(`^(${name} = .*value = ")[^"]*`, "m"), `$1${value}`);

let browser;
before(async () => { browser = await launch(); });
after(async () => { await browser?.close(); });

async function withLink(work, through) {
  const served = await Served.start(folderWith({ [file]: file }), through);
  try {
    const page = await open(browser, served);
    await openLink(page, "Bell hammer");
    await work(page, served);
    await page.context().close();
  } finally {
    await served.endAndRemove();
  }
}

async function field(page, part) {
  const box = page.getByRole("textbox", { name: `value of ${part}` });
  await page.locator(".circuit-work").waitFor(); // a part that is open already must not be pressed
  if (!await box.count()) await page.getByRole("button", { name: new RegExp(`^${part}, `) }).click();
  await box.waitFor();
  return box;
}

async function edit(page, part, value) {
  const box = await field(page, part);
  await box.fill(value);
  await box.press("Enter");
}

const texts = (page) => page.getByRole("textbox", { name: "Whole file" });
async function wholeFile(page) {
  await unfold(page.locator("summary", { hasText: "Whole file" }));
  return texts(page);
}

async function onDisk(served, expected) {
  await until("the file is as expected", () => served.text(file) === expected).catch(() => {});
  assert.equal(served.text(file), expected);
}
async function shows(box, expected) {
  await until("the box shows it", async () => await box.inputValue() === expected).catch(() => {});
  assert.equal(await box.inputValue(), expected);
}
// Long enough for the page to hear of a change and to do what it should not.
async function twoPulses(page) {
  for (let k = 0; k < 2; ++k) await page.waitForResponse((response) => response.url().endsWith("/api/pulse"), { timeout: 60_000 });
}
const staysOnDisk = async (page, served, expected) => {
  await twoPulses(page);
  assert.equal(served.text(file), expected);
};
const noteOf = (page) => page.locator("header").getByRole("note");
const writeOutside = (served, text) => writeFileSync(join(served.folder, file), text);
const ended = (page) => page.getByText("The program has ended.");
const silent = (page) => page.getByText("The program does not answer:");
const button = (page, name) => page.getByRole("button", { name, exact: true });

async function within(milliseconds, locator) {
  const start = Date.now();
  await locator.waitFor({ timeout: 20_000 });
  const took = Date.now() - start;
  assert.ok(took < milliseconds, `it took ${took} ms`);
  return took;
}

test("the program is killed while something is typed", async (t) => {
  await withLink(async (page, served) => {
    const bench = await page.context().newPage();
    await bench.goto(served.origin);
    await openLink(bench, "Bell hammer", "Bench");
    const reading = bench.getByRole("textbox", { name: /^reading 1:/ });
    await reading.waitFor({ timeout: 300_000 });
    await reading.pressSequentially("4.9");
    const whole = await page.context().newPage();
    await whole.goto(served.origin);
    await openLink(whole, "Bell hammer");
    const draft = `${original}# typed by the night shift\n`;
    await (await wholeFile(whole)).fill(draft);
    const value = await field(page, "R1");
    await value.press("End");
    await value.pressSequentially("4");
    const typed = await value.inputValue();
    await served.end("SIGKILL");
    const took = await Promise.all([page, bench, whole].map((window) => within(2000, ended(window))));
    t.diagnostic(`said so after ${took.join(", ")} ms`);
    await value.pressSequentially("0");
    await value.press("Enter");
    await shows(value, `${typed}0`);
    await reading.pressSequentially("1 V");
    await reading.press("Enter");
    await shows(reading, "4.91 V");
    await shows(texts(whole), draft);
    await photograph(bench, "loss-ended");
    // Another screen and back: it is all still there.
    for (const window of [page, whole, bench]) {
      const here = await window.evaluate(() => location.hash);
      await window.getByRole("link", { name: "Need", exact: true }).click();
      await window.getByRole("heading", { name: "No need is stated" }).waitFor();
      await window.evaluate((hash) => { location.hash = hash; }, here);
      await arrived(window, here);
    }
    await shows(reading, "4.91 V");
    await wholeFile(whole);
    await shows(texts(whole), draft);
    await shows((await field(page, "R1")), `${typed}0`);
    assert.equal(served.text(file), original);
  });
});

test("the program hangs for a while", async () => {
  await withLink(async (page, served) => {
    const value = await field(page, "R1");
    await value.fill("390 Ω ± 5 %");
    await noteOf(page).filter({ hasText: "trying" }).waitFor();
    process.kill(served.number, "SIGSTOP");
    try {
      // 4 s by the page's own clock; a machine at work adds to that.
      await within(8000, silent(page));
      assert.equal(await ended(page).count(), 0, "it has not ended");
      await value.press("Enter");
      await shows(value, "390 Ω ± 5 %");
    } finally {
      process.kill(served.number, "SIGCONT");
    }
    await silent(page).waitFor({ state: "hidden", timeout: 60_000 });
    await onDisk(served, valueOf("R1", "390 Ω ± 5 %"));
    await shows(value, "390 Ω ± 5 %");
  });
});

test("typing goes on while an edit is under way", async () => {
  await withLink(async (page, served) => {
    const letTry = await holdBack(page, "**/try");
    let letEdit;
    const typed = new Promise((done) => { letEdit = done; });
    await page.route("**/edit", async (route) => {
      const answer = await route.fetch();
      await typed;
      await route.fulfill({ response: answer });
    }, { times: 1 });
    await edit(page, "R1", "390 Ω ± 5 %");
    const value = await field(page, "R1");
    await value.fill("470 Ω ± 5 %");
    letEdit();
    await saved(page); // the answer has come
    await drawn(page);
    assert.equal(await value.inputValue(), "470 Ω ± 5 %");
    // Another address without leaving the field: what was typed is kept as well.
    await page.evaluate(() => history.back());
    await page.getByRole("heading", { name: "Links" }).waitFor();
    await onDisk(served, valueOf("R1", "470 Ω ± 5 %"));
    await letTry();
  });
});

test("a card is changed outside while it is typed", async () => {
  const card = "vane-emitter.card.toml";
  const served = await Served.start(folderWith({ [card]: "charts/vane-emitter.card.toml" }));
  try {
    const page = await open(browser, served);
    await pressUntil(page.getByRole("list", { name: "Cards of the folder" }).getByRole("link"), page.getByRole("heading", { name: "Figures" }));
    await unfold(page.locator("summary", { hasText: "Whole card" }));
    const box = page.getByRole("textbox", { name: "Whole card" });
    const typed = `${served.text(card)}# typed by the night shift\n`;
    await box.fill(typed);
    const outside = `${served.text(card)}# written outside\n`;
    writeFileSync(join(served.folder, card), outside);
    await within(3000, page.getByText("This card was changed outside."));
    assert.equal(await box.inputValue(), typed);
    await button(page, "Save card").click();
    // (that it was changed is told before it is pressed as well)
    await page.getByRole("alert").filter({ hasText: /there already|has changed outside meanwhile/ }).first().waitFor();
    assert.equal(served.text(card), outside);
    await button(page, "Take the file's").click();
    await shows(box, outside);
  } finally {
    await served.endAndRemove();
  }
});

test("the disk is full", async (t) => {
  const fault = ["-f", "-qq", "-o", "/dev/null", "-e", "trace=fsync", "-e", "inject=fsync:error=ENOSPC"];
  if (spawnSync("strace", [...fault, "true"]).status !== 0) {
    t.skip("strace cannot attach to a program here: NOT TESTED that a failed save loses nothing");
    return;
  }
  await withLink(async (page, served) => {
    await edit(page, "R1", "390 Ω ± 5 %");
    const band = page.getByRole("alert").filter({ hasText: "Not saved" });
    await band.getByText(/no space left/i).waitFor();
    const shown = async () => {
      await shows((await field(page, "R1")), "390 Ω ± 5 %");
      await shows((await wholeFile(page)), valueOf("R1", "390 Ω ± 5 %"));
      assert.equal(served.text(file), original);
    };
    await shown();
    await photograph(page, "loss-disk-full");
    const answer = page.waitForResponse((response) => response.url().includes("/save"));
    await button(page, "Try again").click();
    assert.equal((await answer).status(), 200);
    await page.getByText("not saved", { exact: true }).waitFor(); // from the press to the answer it says “saving”
    await band.getByText(/no space left/i).waitFor();
    await shown();
    await page.reload();
    await band.waitFor();
    await shown();
  }, ["strace", ...fault]);
});

// The disk takes three seconds for a save: nobody is told that it is done before it is, nor that the
// program has ended.
test("the disk is slow", async (t) => {
  const slow = ["-f", "-qq", "-o", "/dev/null", "-e", "trace=fsync", "-e", "inject=fsync:delay_enter=3000000"];
  if (spawnSync("strace", [...slow, "true"]).status !== 0) {
    t.skip("strace cannot attach to a program here: NOT TESTED what is said while a save is under way");
    return;
  }
  await withLink(async (page, served) => {
    let endedSaid = false;
    const watching = ended(page).waitFor({ timeout: 120_000 }).then(() => { endedSaid = true; }, () => {});
    const note = noteOf(page);
    const value = await field(page, "R1");
    await value.fill("390 Ω ± 5 %");
    await note.evaluate((at) => {
      globalThis.told = [];
      new MutationObserver(() => globalThis.told.push(at.textContent)).observe(at, { characterData: true, childList: true, subtree: true });
    });
    const begun = Date.now();
    await value.press("Enter");
    await saved(page);
    assert.ok(Date.now() - begun > 2900, "it was told before the disk had it");
    assert.ok((await page.evaluate(() => globalThis.told)).includes("saving …"), "nothing was told meanwhile");
    assert.equal(served.text(file), valueOf("R1", "390 Ω ± 5 %"));
    assert.ok(!endedSaid, "the program was said to have ended");
    await page.context().close();
    await watching;
  }, ["strace", ...slow]);
});

// Its addresses stay what they are: the open page goes on where it was.
test("the program is killed and started again", async () => {
  await withLink(async (page, served) => {
    await field(page, "R1");
    await served.end("SIGKILL");
    await within(4000, ended(page));
    const again = await Served.start(served.folder);
    try {
      assert.equal(again.origin, served.origin);
      const other = await page.context().newPage();
      await other.goto(again.opening);
      await other.getByRole("heading", { name: "Links" }).waitFor();
      await ended(page).waitFor({ state: "hidden", timeout: 60_000 });
      await edit(page, "R1", "390 Ω ± 5 %");
      await onDisk(again, valueOf("R1", "390 Ω ± 5 %"));
      await saved(page);
      assert.equal(await page.getByText(/no such file is known/i).count(), 0);
      await page.reload();
      await shows(await field(page, "R1"), "390 Ω ± 5 %");
    } finally {
      await again.end();
    }
  });
});

test("the file is changed outside", async () => {
  await withLink(async (page, served) => {
    const outside = valueOf("R2", "12 kΩ ± 5 %");
    writeOutside(served, outside);
    await within(3000, button(page, "Keep mine"));
    await edit(page, "R1", "390 Ω ± 5 %");
    await page.waitForFunction(() => document.querySelector("header")?.textContent.includes("not saved"));
    await staysOnDisk(page, served, outside);
    await shows((await field(page, "R1")), "390 Ω ± 5 %");
    await button(page, "Take the file's").click();
    await button(page, "Keep mine").waitFor({ state: "detached" });
    await shows((await wholeFile(page)), outside);
    await staysOnDisk(page, served, outside);
    await pastOf(page, "Undo").click();
    await onDisk(served, valueOf("R1", "390 Ω ± 5 %"));
    await pastOf(page, "Redo").click();
    await onDisk(served, outside);

    const again = valueOf("R3", "22 kΩ ± 5 %");
    writeOutside(served, again);
    await within(3000, button(page, "Keep mine"));
    await button(page, "Keep mine").click();
    await onDisk(served, outside);
    await button(page, "Keep mine").waitFor({ state: "detached" });
    await pastOf(page, "Undo").click();
    await onDisk(served, again);
  });
});

test("the file is taken away outside", async () => {
  await withLink(async (page, served) => {
    rmSync(join(served.folder, file));
    await within(3000, page.getByText("This file was taken away outside."));
    assert.equal(await button(page, "Take the file's").count(), 0);
    await edit(page, "R1", "390 Ω ± 5 %");
    await noteOf(page).filter({ hasText: "not saved" }).waitFor();
    await twoPulses(page);
    assert.ok(!existsSync(join(served.folder, file)), "it is not put back unasked");
    await shows((await field(page, "R1")), "390 Ω ± 5 %");
    await button(page, "Keep mine").click();
    await page.getByText("This file was taken away outside.").waitFor({ state: "detached" });
    await onDisk(served, valueOf("R1", "390 Ω ± 5 %"));
  });
});

test("a second window is told of a change, and follows", async () => {
  await withLink(async (page, served) => {
    const second = await page.context().newPage();
    await second.goto(served.origin);
    await openLink(second, "Bell hammer");
    await field(second, "R1");
    await edit(page, "R1", "390 Ω ± 5 %");
    await onDisk(served, valueOf("R1", "390 Ω ± 5 %"));
    await second.getByText("Changed in another window: this one follows.").waitFor();
    await shows(second.getByRole("textbox", { name: "value of R1" }), "390 Ω ± 5 %");
    assert.equal(await page.getByText("Changed in another window: this one follows.").count(), 0);
    await second.getByRole("button", { name: "Seen" }).click();
    await second.getByText("Changed in another window: this one follows.").waitFor({ state: "hidden" });
  });
});

test("two windows on one link", async () => {
  await withLink(async (page, served) => {
    const second = await page.context().newPage();
    await second.goto(served.origin);
    await openLink(second, "Bell hammer");
    await field(second, "R2");
    await second.route("**/api/pulse", () => {}); // it hears of nothing
    await edit(page, "R1", "390 Ω ± 5 %");
    const one = valueOf("R1", "390 Ω ± 5 %");
    await onDisk(served, one);
    await edit(second, "R2", "12 kΩ ± 5 %");
    const both = valueOf("R2", "12 kΩ ± 5 %", one);
    await onDisk(served, both);
    await shows((await wholeFile(second)), both);

    // The whole text cannot be put on top of another: it is told, and stays to be looked at.
    await edit(page, "R3", "22 kΩ ± 5 %");
    const three = valueOf("R3", "22 kΩ ± 5 %", both);
    await onDisk(served, three);
    const draft = `${both}# typed by the night shift\n`;
    await texts(second).fill(draft);
    await texts(second).blur();
    await second.getByText(/changed meanwhile/).waitFor();
    await shows(texts(second), draft);
    await staysOnDisk(page, served, three);
  });
});
