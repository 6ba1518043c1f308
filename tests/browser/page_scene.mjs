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

// Whoever sees that nothing came of a press presses again.
async function pressUntil(at, shown) {
  for (let again = 0; again < 3; ++again) {
    if (again === 0 || await at.isVisible()) await at.click();
    if (await shown.waitFor({ timeout: 10_000 }).then(() => true, () => false)) return;
  }
  await shown.waitFor();
}

// A link by its title, on one of its screens.
export async function openLink(page, title, screen = "Circuit") {
  const heading = page.getByRole("heading", { level: 1, name: title });
  await pressUntil(page.getByRole("link", { name: title, exact: true }).first(), heading);
  await page.getByRole("link", { name: screen, exact: true }).click();
}

// What axe-core finds against WCAG 2.2 A and AA and its own good practice.
export async function violations(page) {
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
