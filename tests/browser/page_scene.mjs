// The page of a folder of its own, served by the program and opened in Chromium.
//
// Environment: GAPWRIGHT (the program), PICTURES (a folder for photographs; optional), PAGE (a
// folder with a bundle of web/build.mjs to show in place of the program's own; optional).
import { execFileSync, spawn } from "node:child_process";
import { cpSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { createRequire } from "node:module";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { chromium } from "playwright-core";

export const project = join(dirname(fileURLToPath(import.meta.url)), "..", "..");
export const program = process.env.GAPWRIGHT ?? join(project, "build/release/gapwright");
const examples = join(project, "examples/clock-tower");
const axe = readFileSync(createRequire(import.meta.url).resolve("axe-core"), "utf8");
const pictures = process.env.PICTURES;
const bundle = process.env.PAGE;

export const launch = (further = []) => chromium.launch({
  executablePath: "/usr/bin/chromium",
  args: [...further, "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync"],
});

// A folder with files of the examples: { "bell-hammer.link.toml": "needs/bell-hammer.link.toml" },
// or with texts of the test's own: { "bell-hammer.link.toml": { text: "…" } }.
export function folderWith(files) {
  const folder = mkdtempSync(join(tmpdir(), "gapwright-page-"));
  for (const [name, source] of Object.entries(files)) {
    mkdirSync(dirname(join(folder, name)), { recursive: true });
    if (typeof source === "string") cpSync(join(examples, source), join(folder, name));
    else writeFileSync(join(folder, name), source.text);
  }
  return folder;
}

export const exampleText = (name) => readFileSync(join(examples, name), "utf8");

// Every file below a folder with its bytes, for what must not change.
export function contentsOf(folder) {
  const names = readdirSync(folder, { recursive: true, withFileTypes: true })
    .filter((entry) => entry.isFile()).map((entry) => join(entry.parentPath, entry.name)).sort();
  return Object.fromEntries(names.map((name) => [name, readFileSync(name, "latin1")]));
}

// The program at work on a folder; `through` is what it is run by, ["strace", …].
export class Served {
  static async start(folder, through = []) {
    const [command, ...rest] = [...through, program, "open", folder, "--json"];
    const child = spawn(command, rest, { stdio: ["ignore", "pipe", "inherit"] });
    const served = new Served();
    served.folder = folder;
    served.child = child;
    const line = await new Promise((resolve, reject) => {
      let text = "";
      child.stdout.on("data", (data) => {
        text += data;
        if (text.includes("\n")) resolve(text);
      });
      child.once("exit", (status) => reject(new Error(`the program ended with ${status}`)));
    });
    served.opening = JSON.parse(line).address;
    served.origin = new URL(served.opening).origin;
    return served;
  }
  // The program's own number: what it is run by may keep signals to itself.
  get number() {
    const { pid } = this.child;
    const below = readFileSync(`/proc/${pid}/task/${pid}/children`, "utf8").trim();
    return below ? Number(below.split(" ")[0]) : pid;
  }
  async end(signal = "SIGINT") {
    if (this.child.exitCode !== null || this.child.signalCode !== null) return;
    const gone = new Promise((resolve) => this.child.once("exit", resolve));
    process.kill(this.number, signal);
    await gone;
  }
  async endAndRemove() {
    await this.end();
    rmSync(this.folder, { recursive: true, force: true });
  }
  text(name) {
    return readFileSync(join(this.folder, name), "utf8");
  }
}

// A fresh window on the page; what goes wrong in it is kept in `troubles`.
export async function open(browser, served, { width = 1280, height = 900, dark = false, bundled = true } = {}) {
  const context = await browser.newContext({
    viewport: { width, height }, colorScheme: dark ? "dark" : "light", acceptDownloads: true,
  });
  if (bundle && bundled) {
    await context.route(/\/page\.(js|css)$/, (route) =>
      route.fulfill({ path: join(bundle, new URL(route.request().url()).pathname) }));
  }
  const page = await context.newPage();
  askedBy(page);
  page.troubles = [];
  page.on("console", (message) => {
    if (message.type() === "error") page.troubles.push(`${message.text()} ${message.location().url}`);
  });
  page.on("pageerror", (error) => page.troubles.push(error.message));
  page.on("request", (request) => {
    const url = request.url();
    if (!url.startsWith(served.origin) && !url.startsWith("blob:") && !url.startsWith("data:")) {
      page.troubles.push(`a request to ${url}`);
    }
  });
  await page.goto(served.opening);
  await page.getByRole("heading", { name: "Links", exact: true, level: 2 }).waitFor();
  return page;
}

export const patience = 60_000; // of a machine that has much else to do

// Tries until something comes of it, and hands that back. An attempt gives nothing, or throws, as
// long as it has to be made again.
export async function until(what, attempt, limit = patience) {
  const end = Date.now() + limit;
  for (;;) {
    let why = "";
    const got = await Promise.resolve().then(attempt).catch((error) => void (why = `: ${error.message}`));
    if (got) return got;
    if (Date.now() > end) throw new Error(`not within ${limit / 1000} s: ${what}${why}`);
    await new Promise((resolve) => setTimeout(resolve, 25));
  }
}

// What a window has asked and got no answer to. The pulse goes on for ever and is not counted, nor
// what becomes a file or another page.
const asked = new WeakMap();
function askedBy(page) {
  if (asked.has(page)) return asked.get(page);
  const seen = { open: new Set(), begun: 0 };
  page.on("request", (request) => {
    if (request.isNavigationRequest()) return seen.open.clear();
    if (/\/api\/pulse$|\/export\?/.test(request.url())) return;
    seen.open.add(request);
    seen.begun += 1;
  });
  for (const end of ["requestfinished", "requestfailed"]) page.on(end, (request) => seen.open.delete(request));
  asked.set(page, seen);
  return seen;
}

// Runs in the page: whether nothing in it moved for so many frames, and nothing is being worked out.
async function stood([frames, ended]) {
  const places = () => {
    const busy = document.querySelector("progress, .meaning > .stale") || (!ended && document.querySelector(".band.ended")) ||
      document.querySelector(".outcome")?.textContent === "Comparing …" || [...document.images].some((image) => !image.complete);
    if (busy) return null;
    return [...document.querySelectorAll("body, body *")].map((at) => {
      const { x, y, width, height } = at.getBoundingClientRect();
      return `${x} ${y} ${width} ${height}`;
    }).join();
  };
  const first = places();
  for (let k = 0; k < frames && first !== null; ++k) {
    await new Promise(requestAnimationFrame);
    if (places() !== first) return false;
  }
  return first !== null;
}

// Until nothing moves any more: everything asked is answered and drawn. A job is asked after every
// quarter of a second, which is less than these frames take. That the program has ended is told as
// well, above all else, where only its pulse came late: that goes by, unless it `ended` indeed.
export async function atRest(page, { ended = false } = {}) {
  const seen = askedBy(page);
  await until("the page is at rest", async () => {
    const { begun } = seen;
    return seen.open.size === 0 && await page.evaluate(stood, [20, ended]) && seen.open.size === 0 && seen.begun === begun;
  }, 300_000);
}

// Until what the page does after drawing has been done as well.
export const drawn = (page) => page.evaluate(() =>
  new Promise((resolve) => requestAnimationFrame(() => requestAnimationFrame(() => setTimeout(resolve)))));

// Whoever sees that nothing came of a press presses again.
export async function pressUntil(at, shown) {
  await at.click();
  for (let again = 0; again < 3; ++again) {
    if (await shown.waitFor({ timeout: 10_000 }).then(() => true, () => false)) return;
    // (it may have come, or the screen be left, just now: then there is nothing to press)
    if (await at.isVisible()) await at.click({ timeout: 5000 }).catch(() => {});
  }
  await shown.waitFor();
}

// Opens a fold by its summary; one that is open stays so.
export async function unfold(summary) {
  const isOpen = () => summary.evaluate((at) => at.parentElement.open);
  await until(`${summary} is unfolded`, async () => {
    if (!await isOpen()) await summary.click();
    return isOpen();
  });
}

// Until a screen of a link is shown, by its address: "#/link/…/bench".
export const arrived = (page, hash) =>
  page.locator(`nav a[aria-current="page"][href=${JSON.stringify(hash)}]`).waitFor({ timeout: patience });

// A link by its title, on one of its screens.
export async function openLink(page, title, screen = "Circuit") {
  const heading = page.getByRole("heading", { level: 1, name: title });
  await pressUntil(page.getByRole("link", { name: title, exact: true }).first(), heading);
  await pressUntil(page.getByRole("link", { name: screen, exact: true }),
    page.locator('nav a[aria-current="page"]', { hasText: screen }));
}

// Until the program has answered the last change and has it on the disk. From the press on it is told
// that it is being saved: what is told here is of that press.
export const saved = (page) =>
  page.locator("header").getByRole("note").filter({ hasText: /^saved$/ }).waitFor({ timeout: patience });

// Undo or Redo, once there is something that it would do: without, a press does nothing.
export const pastOf = (page, name) => page.locator(`button[aria-label="${name}"][aria-disabled="false"]`);

// Keeps what is asked at such addresses from going on until it is let go.
export async function holdBack(page, addresses) {
  let open;
  const opened = new Promise((resolve) => { open = resolve; });
  const hold = async (route) => {
    await opened;
    await route.continue().catch(() => {}); // given up meanwhile
  };
  await page.route(addresses, hold);
  return async () => {
    open();
    await page.unroute(addresses, hold);
  };
}

// The text of the file that a press brings.
export async function downloaded(page, press) {
  const [download] = await Promise.all([page.waitForEvent("download", { timeout: 120_000 }), press()]);
  return readFileSync(await download.path(), "utf8");
}

// What axe-core finds against WCAG 2.2 A and AA and its own good practice.
export async function violations(page, state = {}) {
  await atRest(page, state);
  if (!await page.evaluate(() => "axe" in globalThis)) await page.evaluate(axe);
  await page.evaluate(() => scrollTo(0, 0)); // the head of a link stays over what is scrolled under it
  const found = await page.evaluate(() => globalThis.axe.run(document, {
    runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"],
  }));
  return found.violations.map((v) => `${v.id}: ${v.nodes.slice(0, 3).map((n) => n.html).join(" | ")}`);
}

export const overflow = (page) =>
  page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);

export async function photograph(page, name) {
  if (!pictures) return;
  mkdirSync(pictures, { recursive: true });
  await page.screenshot({ path: join(pictures, `${name}.png`), fullPage: true });
}

// What `gapwright check --nominal` finds in a link file's text, as a meter on it would.
export function nominal(folder, name) {
  try {
    return JSON.parse(execFileSync(program, ["check", join(folder, name), "--nominal", "--json"]));
  } catch (error) {
    if (error.status !== 1) throw error; // broken promises are what is looked for
    return JSON.parse(error.stdout);
  }
}
