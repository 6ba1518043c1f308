import { chromium } from "playwright-core";
const [,, file, out, y0, y1, scheme, width] = process.argv;
const b = await chromium.launch({ executablePath: "/usr/bin/chromium", args: ["--no-sandbox","--disable-gpu"]});
const p = await b.newPage({ viewport: { width: Number(width ?? 1280), height: 900 }, deviceScaleFactor: 1, colorScheme: scheme ?? "light" });
await p.goto("file://" + file);
await p.screenshot({ path: out, fullPage: true, clip: { x: 0, y: Number(y0), width: Number(width ?? 1280), height: Number(y1)-Number(y0) } });
await b.close();
