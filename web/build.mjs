// Bundles the page: node web/build.mjs OUTDIR (or OUTDIR from the environment) writes index.html,
// page.js and page.css. Nothing else is needed at run time.
import { copyFile, mkdir } from "node:fs/promises";
import { dirname, join, resolve } from "node:path";
import { fileURLToPath } from "node:url";
import { build } from "esbuild";

const here = dirname(fileURLToPath(import.meta.url));
const given = process.argv[2] ?? process.env.OUTDIR;
if (!given) {
  console.error("Where to? node web/build.mjs OUTDIR");
  process.exit(2);
}
const out = resolve(given);

await mkdir(out, { recursive: true });
await build({
  absWorkingDir: here,
  entryPoints: { page: "src/main.tsx" },
  outdir: out,
  bundle: true,
  minify: true,
  sourcemap: false,
  format: "esm",
  target: ["es2022", "chrome109", "firefox115", "safari16"],
  jsx: "automatic",
  jsxImportSource: "preact",
  legalComments: "none",
  charset: "utf8",
});
await build({
  absWorkingDir: here,
  entryPoints: { page: "src/style/page.css" },
  outdir: out,
  bundle: true,
  minify: true,
  sourcemap: false,
  target: ["chrome109", "firefox115", "safari16"],
  charset: "utf8",
});
await copyFile(join(here, "src/index.html"), join(out, "index.html"));
