// Prints the units of src/ that were not yet found clean as they are now: a line each, the stamp to
// leave when it is, a tab, the unit.
//   node scripts/units_to_analyse.mjs COMPILE_COMMANDS STAMPS
// A unit is its text, the headers of the project that it includes directly or not, its options, and
// the rules. Its stamp is named by what these hold, not by where they lie, so that another clone of
// the same sources finds it.
import { createHash } from "node:crypto";
import { existsSync, readFileSync } from "node:fs";
import { join, relative } from "node:path";

const [commandsFile, stamps] = process.argv.slice(2);
const source = process.cwd();
const rules = readFileSync(".clang-tidy", "utf8");

const texts = new Map();
const textOf = (file) => {
    if (!texts.has(file)) texts.set(file, existsSync(file) ? readFileSync(file, "utf8") : "");
    return texts.get(file);
};

const allIncluded = (file, seen = new Set([file])) => {
    for (const [, name] of textOf(file).matchAll(/^#include "(.+)"/gm)) {
        const header = join("src", name);
        if (seen.has(header)) continue;
        seen.add(header);
        allIncluded(header, seen);
    }
    return seen;
};

for (const { command, file } of JSON.parse(readFileSync(commandsFile, "utf8"))) {
    const unit = relative(source, file);
    if (!unit.startsWith("src/")) continue;
    const hash = createHash("sha256").update(rules).update(command.replaceAll(source, ""));
    for (const name of [...allIncluded(unit)].sort()) hash.update(name).update("\0").update(textOf(name));
    const stamp = join(stamps, hash.digest("hex"));
    if (!existsSync(stamp)) console.log(`${stamp}\t${unit}`);
}
