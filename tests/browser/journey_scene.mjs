// A person at the page, in Chromium and in Firefox: by mouse, by keyboard alone, by touch.
//
// Things are found by role and accessible name, and pressed where they lie on the screen: what is
// covered, or cannot be come to by Tab, cannot be pressed. Nothing is waited for longer than 60 s,
// unless a computation shows that it goes on.
//
// Environment: GAPWRIGHT (the program).
import assert from "node:assert/strict";
import puppeteer from "puppeteer-core";

export { exampleText, folderWith, project, Served } from "./page_scene.mjs";

export const browsers = ["chromium", "firefox"];

export const launch = (name) => puppeteer.launch(name === "firefox"
  ? { browser: "firefox", executablePath: "/usr/bin/firefox-esr", headless: true, timeout: 120_000 }
  : {
    timeout: 120_000,
    executablePath: "/usr/bin/chromium",
    headless: true,
    args: ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
      "--disable-background-networking", "--disable-component-update", "--disable-sync"],
  });

// Firefox takes no touch over WebDriver BiDi: a tap ends in an error of the browser's own, or in
// touch events that no click follows. There the narrow window is clicked.
const ways = {
  mouse: { width: 1280, height: 900 },
  keyboard: { width: 1280, height: 900 },
  touch: { width: 390, height: 844 },
};

const patience = 60_000;

// Tries until something comes of it. An attempt gives nothing, or throws, as long as it has to be
// made again; why the last one failed is told. Where a long computation is waited for, `progress`
// tells how far it is, and only a standstill ends the patience.
export async function until(what, attempt, progress = () => "") {
  let end = Date.now() + patience;
  let far = "";
  let why = "";
  for (;;) {
    try {
      const got = await attempt();
      if (got) return got;
      why = "";
    } catch (error) {
      why = `: ${error.message}`;
    }
    const now = await progress();
    if (now !== far) end = Date.now() + patience;
    far = now;
    if (Date.now() > end) assert.fail(`not within ${patience / 1000} s: ${what}${why}`);
    await new Promise((resolve) => setTimeout(resolve, 50));
  }
}

export class Person {
  // In a context of their own: cookies of 127.0.0.1 are shared by all its ports.
  static async at(browser, browserName, way, served) {
    const person = new Person();
    person.way = way;
    person.asksTree = browserName === "chromium";
    person.taps = way === "touch" && browserName === "chromium";
    person.context = await browser.createBrowserContext();
    const page = await person.context.newPage();
    person.page = page;
    page.setDefaultTimeout(patience);
    page.setDefaultNavigationTimeout(patience);
    await page.setViewport({ ...ways[way], hasTouch: person.taps });
    person.troubles = [];
    page.on("console", (message) => {
      if (message.type() === "error") person.troubles.push(message.text());
    });
    page.on("pageerror", (error) => person.troubles.push(error.message));
    page.on("request", (request) => {
      const url = request.url();
      if (!url.startsWith(served.origin) && !/^(blob|data):/.test(url)) {
        person.troubles.push(`a request to ${url}`);
      }
    });
    await page.goto(served.opening);
    return person;
  }

  async leave() {
    await this.context.close();
  }

  // The first thing of that role and accessible name, or null. Chromium is asked for its own
  // accessibility tree. On a page with a schematic Firefox takes a second or two for each such
  // question, so there the name is put together in the page; `bothWays` compares the two.
  async find(role, name) {
    return this.asksTree ? this.inTree(role, name) : this.inPage(role, name);
  }

  async inTree(role, name) {
    return this.page.$(`::-p-aria([name="${name}"][role="${role}"])`);
  }

  async inPage(role, name) {
    return (await this.page.evaluateHandle(byRole, role, name)).asElement();
  }

  async bothWays(role, name) {
    const found = await until(`the browser's tree has ${role} “${name}”`, () => this.inTree(role, name));
    const same = await found.evaluate((e, other) => e === other, await this.inPage(role, name));
    assert.ok(same, `${role} “${name}” is another in the browser's tree`);
  }

  async see(role, name) {
    return until(`${role} “${name}” is there`, () => this.find(role, name), () => this.far());
  }

  // `holds` is asked in the page, of the thing and of what else is given.
  async seeThat(role, name, holds, ...rest) {
    await until(`${role} “${name}”: ${holds.name || holds} ${rest.join(" ")}`,
      async () => (await this.find(role, name))?.evaluate(holds, ...rest), () => this.far());
  }

  // What the main part of the page says.
  async text() {
    return this.page.$eval("main", (main) => main.innerText);
  }

  async read(pattern) {
    return until(`the page says ${pattern}`, async () => {
      const text = await this.text();
      const found = pattern.exec(text);
      if (!found) throw new Error(`it says ${text.slice(0, 300)}`);
      return found;
    }, () => this.far());
  }

  // How far the page says that its computations are.
  async far() {
    return this.page.$$eval(".progress", (all) => all.map((at) => at.textContent).join()).catch(() => "");
  }

  // With the keyboard, `key` presses a button or a link; a checkbox is ticked by the space bar, and
  // a radio button is come to by an arrow from the one that is taken.
  async press(role, name, key = "Enter") {
    if (this.way === "keyboard") {
      await this.tabTo(role, name);
      if (role !== "radio") await this.page.keyboard.press(role === "checkbox" ? " " : key);
      return;
    }
    await until(`${role} “${name}” is pressed`, async () => {
      const thing = await this.find(role, name);
      if (!thing) return false;
      const { x, y } = await pointOn(thing);
      await thing.evaluate(watchPress);
      if (this.taps) await this.page.touchscreen.tap(x, y);
      else await this.page.mouse.click(x, y);
      // A press comes to nothing where the thing moved or was drawn anew under the hand: then again.
      const end = Date.now() + 10_000;
      for (;;) {
        const came = await this.page.evaluate(() => globalThis.pressed());
        if (came !== null || Date.now() > end) return came;
        await new Promise((resolve) => setTimeout(resolve, 20));
      }
    });
  }

  // Writes into a box, in place of what stands there, and ends with Enter.
  async write(name, text) {
    if (this.way === "keyboard") await this.tabTo("textbox", name);
    // What a reading brings may come above the box while the hand is on its way: then one presses again.
    else await until(`textbox “${name}” is written in`, async () => {
      await this.press("textbox", name);
      return (await this.find("textbox", name))?.evaluate((e) => e === document.activeElement);
    });
    const { keyboard } = this.page;
    await keyboard.down("Control");
    await keyboard.press("a");
    await keyboard.up("Control");
    await keyboard.type(text);
    await this.seeThat("textbox", name, (e, wanted) => e.value === wanted, text);
    await keyboard.press("Enter");
  }

  // One of a list that drops down. Its rows are the browser's own and lie outside of the page: a
  // mouse's choice is set, as no test can press there.
  async choose(name, row) {
    const list = await this.see("combobox", name);
    const chosen = (e) => e.selectedOptions[0].text;
    if (this.way === "keyboard") {
      await this.tabTo("combobox", name);
      const rows = await list.evaluate((e) => e.options.length);
      for (let k = 0; k < rows; ++k) {
        const before = await list.evaluate(chosen);
        if (before === row) break;
        await this.page.keyboard.press("ArrowDown");
        await until("another row is chosen", async () => await list.evaluate(chosen) !== before);
      }
    } else {
      const value = (e, wanted) => [...e.options].find((o) => o.text === wanted).value;
      await list.select(await list.evaluate(value, row));
    }
    assert.equal(await list.evaluate(chosen), row);
  }

  // Tab, or Shift and Tab where it lies further up, until it has the focus and is in sight.
  async tabTo(role, name) {
    let thing = await this.see(role, name);
    for (let k = 0; k < 200; ++k) {
      const where = await thing.evaluate(wayTo);
      if (where === "gone") {
        thing = await this.see(role, name);
      } else if (where === "here") {
        // (another screen takes the keyboard when it is drawn, and may do so only now)
        const seen = await until(`${role} “${name}” is in sight`, async () =>
          await thing.evaluate(inSight) ? "yes" : await thing.evaluate(wayTo) !== "here" && "lost");
        if (seen === "yes") return;
      } else if (where === "beside") {
        await this.page.keyboard.press("ArrowDown");
      } else {
        if (where === "above") await this.page.keyboard.down("Shift");
        await this.page.keyboard.press("Tab");
        if (where === "above") await this.page.keyboard.up("Shift");
      }
    }
    assert.fail(`the keyboard never came to ${role} “${name}”`);
  }
}

function wayTo(thing) {
  if (!thing.isConnected) return "gone";
  const at = document.activeElement;
  if (at === thing) return "here";
  if (thing.type === "radio" && at.type === "radio" && at.name === thing.name) return "beside";
  return at.compareDocumentPosition(thing) & Node.DOCUMENT_POSITION_PRECEDING ? "above" : "below";
}

// What has the focus must not lie outside of the window or under something else.
function inSight(thing) {
  const { left, right, top, bottom } = thing.getBoundingClientRect();
  const hit = document.elementFromPoint((left + right) / 2, (top + bottom) / 2);
  return document.activeElement === thing && thing.contains(hit);
}

// Where a hand would press it: scrolled to, at rest, and with nothing else on top.
async function pointOn(thing) {
  const found = await thing.evaluate(async (e) => {
    const box = () => {
      const { left, right, top, bottom } = e.getBoundingClientRect();
      return { left, right, top, bottom };
    };
    const { left: l, right: r, top: t, bottom: b } = box();
    const whole = l >= 0 && t >= 0 && r <= innerWidth && b <= innerHeight;
    if (!whole) e.scrollIntoView({ block: "center", inline: "center", behavior: "instant" });
    const before = JSON.stringify(box());
    await new Promise((resolve) => requestAnimationFrame(() => requestAnimationFrame(resolve)));
    const { left, right, top, bottom } = box();
    if (!e.isConnected || JSON.stringify(box()) !== before) return { why: "it moves" };
    const x = (left + right) / 2;
    const y = (top + bottom) / 2;
    const hit = document.elementFromPoint(x, y);
    if (!hit || !(e.contains(hit) || [...e.labels ?? []].some((label) => label.contains(hit)))) {
      return { why: `it lies under ${hit?.outerHTML.slice(0, 120)}` };
    }
    return { x, y };
  });
  if (found.why) throw new Error(found.why);
  return found;
}

// Until the press is over, all that falls beside the thing is kept from what lies there; `pressed`
// tells whether it came to the thing, and null as long as nothing came.
function watchPress(thing) {
  let came = null;
  const kinds = ["pointerdown", "mousedown", "pointerup", "mouseup", "click"];
  const look = (event) => {
    const on = thing.contains(event.target) || [...thing.labels ?? []].some((label) => label.contains(event.target));
    if (!on) {
      event.preventDefault();
      event.stopImmediatePropagation();
    }
    if (event.type === "click") {
      came = on;
      stop();
    }
  };
  const stop = () => kinds.forEach((kind) => removeEventListener(kind, look, true));
  globalThis.pressed?.(true);
  for (const kind of kinds) addEventListener(kind, look, true);
  globalThis.pressed = (over = false) => {
    if (over) stop();
    return came;
  };
}

// What browsers make an accessible name of, as far as this page goes. Runs in the page.
function byRole(role, name) {
  const kinds = {
    button: 'button, [role="button"]',
    link: "a[href]",
    textbox: 'input[type="text"], input:not([type]), textarea',
    checkbox: 'input[type="checkbox"]',
    radio: 'input[type="radio"]',
    combobox: "select",
    heading: "h1, h2, h3, h4",
    list: "ul, ol",
    group: '[role="group"], fieldset',
  };
  const words = (e) => {
    const copy = e.cloneNode(true);
    const unnamed = '[aria-hidden="true"], input, select, textarea';
    for (const other of copy.querySelectorAll(unnamed)) other.remove();
    return copy.textContent;
  };
  const nameOf = (e) => e.getAttribute("aria-label") ??
    [...e.labels?.length ? e.labels : [e]].map(words).join(" ");
  const seen = (e) => e.checkVisibility({ visibilityProperty: true });
  return [...document.querySelectorAll(kinds[role])].find((e) =>
    seen(e) && nameOf(e).replace(/\s+/g, " ").trim() === name) ?? null;
}
