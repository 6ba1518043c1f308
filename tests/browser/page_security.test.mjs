// Other pages in the same browser get nothing from the page of a folder, by whatever name they come
// to it: they read nothing, change nothing and start nothing. And what every answer says to the
// browser of what it may do.
import assert from "node:assert/strict";
import http from "node:http";
import { after, before, test } from "node:test";
import { contentsOf, folderWith, launch, open, Served } from "./page_scene.mjs";

const rebound = "evil.averley.test";
const files = {
  "bell-hammer.link.toml": "bell-hammer.link.toml", "vane-emitter.png": "charts/vane-emitter.png",
  "vane-emitter.card.toml": "charts/vane-emitter.card.toml",
};
const secrets = /Bell hammer|bell-hammer|vane-emitter|\[promise\]|"links"|Reading the folder/;

let browser;
let served;
let page; // the person's window, with the cookie
let other; // a server of somebody else on this machine
let elsewhere;

before(async () => {
  browser = await launch([`--host-resolver-rules=MAP ${rebound} 127.0.0.1`]);
  served = await Served.start(folderWith(files));
  page = await open(browser, served, { bundled: false }); // nothing between the page and others
  other = http.createServer((request, answer) => {
    answer.setHeader("Content-Type", "text/html");
    answer.end("<!DOCTYPE html><title>elsewhere</title><iframe name=inside></iframe>");
  });
  await new Promise((done) => other.listen(0, "127.0.0.1", done));
  elsewhere = other.address().port;
});

after(async () => {
  await browser?.close();
  other?.close();
  await served?.endAndRemove();
});

// Runs in a page: each attempt says what it got, in words.
async function attempts({ target, link }) {
  const got = {};
  const within = (work) => Promise.race([
    new Promise(work), new Promise((done) => setTimeout(done, 4000, "nothing came")),
  ]);
  const asked = async (path, options) => {
    try {
      const answer = await fetch(target + path, options);
      return `${answer.type} ${answer.status}: ${(await answer.text()).slice(0, 300)}`;
    } catch (error) {
      return error.name;
    }
  };
  const paths = ["/", "/page.js", "/api/folder", "/api/pulse", `/api/links/${link}`,
    `/api/links/${link}/export?what=link`, "/?code=00"];
  for (const path of paths) {
    got[`cors ${path}`] = await asked(path, { credentials: "include" });
    got[`no-cors ${path}`] = await asked(path, { credentials: "include", mode: "no-cors" });
  }
  const bodies = {
    "/api/links": { name: "stolen", from: "blank", source: "", values: {} },
    [`/api/links/${link}/edit`]: { edits: [{ whole: "title = \"stolen\"" }], revision: 1, state: "", samples: 0 },
    [`/api/links/${link}/undo`]: {}, "/api/cards": { name: "stolen", text: "x = 1" },
    "/api/jobs": { work: "build", link, board: "solderless" },
  };
  for (const [path, body] of Object.entries(bodies)) {
    const post = { method: "POST", credentials: "include", body: JSON.stringify(body) };
    got[`json ${path}`] = await asked(path, { ...post, headers: { "Content-Type": "application/json" } });
    got[`text ${path}`] = await asked(path, { ...post, mode: "no-cors", headers: { "Content-Type": "text/plain" } });
    navigator.sendBeacon(target + path, new Blob([post.body], { type: "text/plain" }));
    for (const method of ["get", "post"]) {
      const form = Object.assign(document.createElement("form"), {
        action: target + path, method, enctype: "text/plain", target: "inside" });
      form.append(Object.assign(document.createElement("input"), { name: post.body, value: "" }));
      document.body.append(form);
      // Answered before the next is sent, which would take its place.
      await within((done) => {
        document.querySelector("iframe[name=inside]").onload = done;
        form.submit();
      });
    }
  }
  const tags = { img: "src", script: "src", link: "href", iframe: "src", embed: "src", object: "data", audio: "src" };
  for (const [name, key] of Object.entries(tags)) {
    for (const path of ["/page.js", "/page.css", "/api/folder"]) {
      got[`${name} ${path}`] = await within((done) => {
        const element = document.createElement(name);
        if (name === "link") element.rel = "stylesheet";
        element.onerror = () => done("error");
        element.onload = () => {
          let inside = "";
          try {
            inside = element.contentDocument?.documentElement.textContent ?? "closed";
          } catch {
            inside = "closed";
          }
          done(name === "img" || name === "script" || name === "link" ? "loaded" : inside);
        };
        element[key] = target + path;
        document.body.append(element);
      });
    }
  }
  got.events = await within((done) => {
    const events = new EventSource(`${target}/api/pulse`, { withCredentials: true });
    events.onopen = () => done("opened");
    events.onerror = () => (events.close(), done("error"));
  });
  got.socket = await within((done) => {
    const socket = new WebSocket(`${target.replace("http", "ws")}/api/pulse`);
    socket.onopen = () => done("opened");
    socket.onerror = () => done("error");
  });
  return got;
}

function frameOf(answer) {
  try {
    return answer.frame();
  } catch {
    return null; // of a window that is just being opened
  }
}

const harmless = /^(TypeError|error|closed|nothing came|opaque 0: )$/;

// From a hostile page: nothing is read, all that reached the program was refused, the disk is as it was.
async function hostileFrom(address, target) {
  const before = contentsOf(served.folder);
  const link = await page.evaluate(async () => (await (await fetch("/api/folder")).json()).links[0].id);
  const context = page.context();
  const answers = [];
  const own = page.mainFrame(); // the person's window goes on asking, by rights
  const note = (answer) => {
    if (!answer.url().startsWith(target) || frameOf(answer) === own) return;
    answers.push([answer.status(), answer.request().method(), answer.url()]);
  };
  context.on("response", note);
  const evil = await context.newPage();
  await evil.goto(address);
  const got = await evil.evaluate(attempts, { target, link });
  for (const [what, result] of Object.entries(got)) assert.match(result, harmless, what);
  for (const frame of evil.frames().slice(1)) {
    assert.doesNotMatch(await frame.content().catch(() => ""), secrets);
  }
  // A window of its own, and the page itself gone to.
  const [popup] = await Promise.all([
    evil.waitForEvent("popup"),
    evil.evaluate((url) => { globalThis.opened = open(url); }, `${target}/`),
  ]);
  await popup.waitForLoadState();
  assert.doesNotMatch(await popup.content(), secrets);
  const seen = await evil.evaluate(() => {
    try {
      return globalThis.opened.document.body.textContent;
    } catch (error) {
      return error.name;
    }
  });
  assert.ok(["SecurityError", "TypeError"].includes(seen), seen);
  await evil.evaluate((url) => { location.href = url; }, `${target}/`);
  await evil.waitForURL(`${target}/`);
  assert.doesNotMatch(await evil.content(), secrets);
  context.off("response", note);
  assert.ok(answers.length >= 10, `only ${answers.length} attempts came to the program`);
  const taken = answers.filter(([status]) => ![400, 403, 405, 415].includes(status));
  assert.deepEqual(taken, []);
  assert.deepEqual(contentsOf(served.folder), before);
  await popup.close();
  await evil.close();
}

test("the attempts do read where they may", async () => {
  const link = await page.evaluate(async () => (await (await fetch("/api/folder")).json()).links[0].id);
  const got = await page.evaluate(async ({ target, link }) => {
    const answer = await fetch(`${target}/api/links/${link}/export?what=link`, { credentials: "include" });
    return answer.text();
  }, { target: served.origin, link });
  assert.match(got, secrets);
});

test("a page on another port of this machine", () =>
  hostileFrom(`http://127.0.0.1:${elsewhere}/`, served.origin));

test("a page of another name that leads to this machine", () =>
  hostileFrom(`http://${rebound}:${elsewhere}/`, served.origin));

test("the program under another name", async () => {
  const { port } = new URL(served.origin);
  const before = contentsOf(served.folder);
  const fresh = await browser.newContext();
  for (const context of [fresh, page.context()]) {
    const window = await context.newPage();
    for (const path of ["/", "/page.js", "/api/folder", "/?code=00"]) {
      const answer = await window.goto(`http://${rebound}:${port}${path}`);
      assert.equal(answer.status(), 403, path);
      assert.match(await window.content(), /not the address of this page/);
      const asked = await window.evaluate(async () => {
        const inner = await fetch("/api/folder");
        return `${inner.status} ${await inner.text()}`;
      });
      assert.equal(asked, "403 This is not the address of this page.\n");
    }
    await window.close();
  }
  await hostileFrom(`http://${rebound}:${elsewhere}/`, `http://${rebound}:${port}`);
  assert.deepEqual(contentsOf(served.folder), before);
  await fresh.close();
});

test("the opening address is good for once, and nothing is without it", async () => {
  const fresh = await browser.newContext();
  const window = await fresh.newPage();
  const again = await window.goto(served.opening);
  assert.equal(again.status(), 403);
  assert.match(await window.content(), /works once/);
  assert.deepEqual(await fresh.cookies(), []);
  for (const path of ["/", "/page.js", "/page.css", "/picture.css", "/api/folder", "/api/pulse", "/api/links/1"]) {
    const answer = await window.goto(served.origin + path);
    assert.equal(answer.status(), 403, path);
    assert.doesNotMatch(await window.content(), secrets);
  }
  await fresh.close();
});

const expected = {
  "content-security-policy": "default-src 'none'; script-src 'self'; style-src 'self'; " +
    "img-src 'self' blob: data:; connect-src 'self'; form-action 'none'; frame-ancestors 'none'; base-uri 'none'",
  "x-content-type-options": "nosniff", "x-frame-options": "DENY", "referrer-policy": "no-referrer",
  "cross-origin-opener-policy": "same-origin", "cross-origin-resource-policy": "same-origin", "cache-control": "no-store",
};

test("what every answer says of what it may do", async () => {
  const [cookie] = await page.context().cookies();
  assert.ok(cookie.httpOnly && cookie.sameSite === "Strict" && cookie.path === "/");
  const kinds = await page.evaluate(async () => {
    const view = await (await fetch("/api/folder")).json();
    return { link: view.links[0].id, card: view.cards[0].id, chart: view.charts[0].id };
  });
  const link = `/api/links/${kinds.link}`;
  const ask = (path, status, { method = "GET", body, headers = {}, known = true } = {}) =>
    new Promise((done, fail) => {
      const own = known ? { Cookie: `${cookie.name}=${cookie.value}` } : {};
      const from = method === "POST" ? { Origin: served.origin, "Content-Type": "application/json" } : {};
      http.request(served.origin + path, { method, headers: { ...own, ...from, ...headers } }, (answer) => {
        answer.resume();
        answer.on("end", () => {
          try {
            assert.equal(answer.statusCode, status, path);
            for (const [name, value] of Object.entries(expected)) {
              assert.equal(answer.headers[name], value, `${name} of ${method} ${path}`);
            }
            assert.equal(answer.headers["access-control-allow-origin"], undefined);
            done();
          } catch (error) {
            fail(error);
          }
        });
      }).on("error", fail).end(body);
    });
  const post = (body, more) => ({ method: "POST", body, ...more });
  for (const path of ["/", "/page.js", "/page.css", "/picture.css", "/api/folder", "/api/pulse", link,
    `${link}/part?name=R1`, `${link}/proof`, `/api/cards/${kinds.card}`, `/api/charts/${kinds.chart}`,
    ...["link", "report", "check", "sheet", "readings"].map((what) => `${link}/export?what=${what}`),
    ...["svg", "png", "pdf"].map((as) => `${link}/export?what=picture&name=schematic-on&as=${as}`)]) {
    await ask(path, 200);
  }
  await ask("/api/jobs", 200, post(`{"work": "readings", "link": "${kinds.link}", "readings": {"readings": [], "who": ""}}`));
  await ask("/", 403, { known: false });
  await ask("/?code=00", 403, { known: false });
  await ask("/", 403, { headers: { Host: rebound } });
  await ask("/nothing", 404);
  await ask("/api/links/none", 404);
  await ask("/", 405, { method: "PUT" });
  await ask("/api/folder", 405, { method: "OPTIONS" });
  await ask("/api/links", 415, post("{}", { headers: { "Content-Type": "text/plain" } }));
  await ask(`${link}/edit`, 409, post('{"edits": [{"whole": ""}], "revision": 999, "state": "", "samples": 0}'));
  await ask("/api/links", 422, post('{"name": "../x", "from": "blank", "source": "", "values": {}}'));
  await ask("/api/folder", 431, { headers: { "X-Long": "x".repeat(70_000) } });
});
