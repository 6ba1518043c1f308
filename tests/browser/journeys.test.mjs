// Two journeys through the page, each by mouse, by keyboard alone and by touch, in two browsers.
//
// A newcomer comes to an empty folder, makes a link of the clock tower's, sees what it does, spoils
// it, looks at proof and board, and takes the change back. A technician measures a link that was
// built with a wrong resistor, is led to it, and puts that on record.
import assert from "node:assert/strict";
import { existsSync, readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { after, before, describe, test } from "node:test";
import {
  browsers, exampleText, folderWith, launch, Person, project, Served, until,
} from "./journey_scene.mjs";

// What each newcomer starts from: the `row` of the list of examples; the `part` that leads from the
// `first` state to the `other`, and what the drawing says of the load in the two; R1's value, and one
// with which too little light is left.
const newcomers = {
  mouse: {
    row: "Pendulum beat, need", title: "Pendulum beat", file: "pendulum-beat.link.toml",
    part: "S1, contact", first: "off", other: "on", load: ["reads low", "reads high"],
    value: "100 Ω ± 5 %", spoilt: "10k",
  },
  keyboard: {
    row: "Bell hammer, link", title: "Bell hammer", file: "bell-hammer.link.toml",
    part: "P1, 5 V ± 5 %", first: "on", other: "off", load: ["pulled in", "let go"],
    value: "330 Ω ± 5 %", spoilt: "33k",
  },
  touch: {
    row: "Pendulum beat, link", title: "Pendulum beat", file: "pendulum-beat.link.toml",
    part: "S1, contact", first: "clear", other: "cut", load: ["reads low", "reads high"],
    value: "120 Ω ± 5 %", spoilt: "12k",
  },
};

async function newcomer(person, served, { row, title, file, part, first, other, load, value, spoilt }) {
  await person.see("heading", "Links");
  await person.read(/No link yet/);
  await person.choose("example", row);
  await person.press("button", "Make this link");
  await person.see("heading", title);
  if (row.endsWith("need")) {
    await person.press("button", "Design");
    await person.see("heading", "1. first choice, most stretch");
    await person.press("button", "Take this one");
  }

  // What it is worth, in a sentence, and what pressing the contact or pin does.
  await person.read(/^✓ kept\s+Everything promised is kept/);
  const drawn = (text) =>
    person.seeThat("group", "Schematic", (e, wanted) => e.textContent.includes(wanted), text);
  const shows = (state) => person.seeThat("radio", state, (e) => e.checked);
  await shows(first);
  await drawn(load[0]);
  await person.press("button", `${part}: switch to state ${other}`, " ");
  await shows(other);
  await drawn(load[1]);
  await person.see("button", `${part}: switch to state ${first}`);
  await person.press("radio", first);
  await shows(first);
  await drawn(load[0]);

  // A trial is judged as it is typed; Enter writes this one value into the file.
  const made = served.text(file);
  assert.match(made, new RegExp(`R1 = .*value = "${value}"`));
  await person.press("button", `R1, ${value}`);
  await person.write("value of R1", spoilt);
  await person.read(/^✗ broken\s+Not kept by every specimen/);
  const changed = made.replace(`value = "${value}"`, `value = "${spoilt}"`);
  await until("the new value is in the file, and nothing else", () => served.text(file) === changed);

  await person.press("link", "Proof");
  await person.see("heading", "Margins");
  await person.read(/^✗ broken\s+Not kept by every specimen/);

  // The plan says first that the link is broken; the step after it is done and stays ticked.
  await person.press("link", "Build");
  await person.read(/step 1 of \d+/);
  await person.read(/The link itself is broken/);
  await person.press("button", "Next ›");
  await person.read(/step 2 of \d+/);
  await person.press("checkbox", "done");
  await person.seeThat("checkbox", "done", (e) => e.checked);
  await person.press("button", "Next ›");
  await person.read(/step 3 of \d+/);
  await person.seeThat("checkbox", "done", (e) => !e.checked);
  await person.press("button", "‹ Previous");
  await person.read(/step 2 of \d+/);
  await person.seeThat("checkbox", "done", (e) => e.checked);

  await person.press("button", "Undo");
  await until("the file is as it was", () => served.text(file) === made);
  await person.press("link", "Circuit");
  await person.read(/^✓ kept\s+Everything promised is kept/);
  await person.see("button", `R1, ${value}`);
}

// The bell hammer with R1 of 33 kΩ in place of 330 Ω.
//   Power off, each side's supply sees no way through: over range, and so does the coil's lower end.
//   All resistors read what they are; R3 alone, as 0.5 V of the meter open no base, R2 with it from
//   the coupler; the emitter drops some 1.1 V at the meter's 1 mA (card: 1.2 V at 10 mA); the
//   coil is 1.44 kΩ. D1 is tested with the coil beside it: 1 mA of the meter's, of which
//   0.5 V / 1.44 kΩ = 0.35 mA goes through the coil and the rest lights up some 0.5 V on D1.
//   Switched on: the emitter drops 1.0 V at 0.1 mA (card), so (5 V − 1.0 V) / 33 kΩ = 0.121 mA, and
//   4.0 V lie across R1. At 0.121 mA the coupler gives some 6 % (4.2 % at 0.1 mA, 13 % at 0.2 mA), a
//   third more at 24 V than at the 5 V of the card: 9 µA. R2 drops 10 kΩ · 9 µA = 0.09 V, and so does
//   R3: far below the 0.65 V that open Q1, so no current in the coil and 24 V at its lower end.
const bellHammer = {
  title: "Bell hammer", file: "bell-hammer.link.toml", text: exampleText("bell-hammer.link.toml"),
  reads: {
    "resistance across R1": "33k",
    "resistance at Q1.base": "10.0k",
    "resistance at input.supply": "OL",
    "resistance at output.supply": "OL",
    "resistance at coil": "OL",
    "resistance at U1/R2": "20.0k",
    "diode test U1.emitter": "1.1 V",
    "resistance across U1.receiver": "OL",
    "resistance across R2": "10.0k",
    "resistance across K1": "1.44k",
    "diode test D1": "0.5 V",
    "voltage at input.supply": "5.00",
    "voltage at output.supply": "24.0",
    "voltage at P1/R1": "5.00",
    "voltage at R1/U1": "1.01",
    "voltage across R1": "3.98",
    "voltage at U1/R2": "23.9",
    "voltage at Q1.base": "92 mV",
    "voltage at coil": "24.0",
    "current Q1": "0",
  },
  fault: /A fault: R1 reads as about 33 kΩ instead of 330 Ω/,
  suspect: "R1 reads as about 33 kΩ instead of 330 Ω",
};

// The first link of README.md with R1 of 68 kΩ in place of 680 Ω.
//   Power off and S1 open, each side's supply sees no way through: over range.
//   Switched on: (9 V − 1.0 V) / 68 kΩ = 0.118 mA, 8.0 V across R1; the coupler gives some 5.5 % of
//   it, 6.5 µA, of which 4.7 kΩ make 0.03 V: the signal stays at 5 V − 0.03 V.
const firstLink = {
  title: "First link", file: "first.link.toml",
  text: readFileSync(join(project, "examples/first.link.toml"), "utf8"),
  reads: {
    "resistance at input.supply": "OL",
    "resistance across R1": "68k",
    "resistance at output.supply": "OL",
    "resistance across R2": "4.7k",
    "voltage at input.supply": "9.00",
    "voltage at R1/U1": "1.00",
    "voltage across S1": "0",
    "voltage across R1": "8.00",
    "voltage at output.supply": "5.00",
    "voltage at signal": "4.97",
  },
  fault: /A fault: R1 reads as about 68 kΩ instead of 680 Ω/,
  suspect: "R1 reads as about 68 kΩ instead of 680 Ω",
};

const technicians = { mouse: bellHammer, keyboard: firstLink, touch: firstLink };

async function technician(person, served, { title, file, text, reads, fault, suspect }) {
  await person.press("link", title);
  await person.see("heading", title);
  await person.press("link", "Bench");

  // The box for what is asked is named after it: "next: isolation".
  // While a reading is being judged, what is asked may be another in a moment.
  const asked = () => person.find("group", "Measure next").then((group) => group?.evaluate((e) => {
    const judging = e.closest(".stale") || document.querySelector(".outcome")?.textContent === "Comparing …";
    return !judging && e.querySelector("input:not([type=radio])")?.getAttribute("aria-label");
  }));
  const boxes = [];
  const simulated = async () => /\d+ of \d+ faults/.exec(await person.text())?.[0] ?? "";
  let next = await until("a measurement is asked for", asked, simulated);
  assert.equal(next, "next: isolation");
  while (next) {
    boxes.push(next);
    assert.ok(boxes.length < 12, `no end of questions: ${boxes}`);
    const measure = next.replace("next: ", "");
    const reading = { isolation: "OL", "isolation reversed": "OL", ...reads }[measure];
    assert.ok(reading, `asked for ${measure}, which was not worked out`);
    await person.write(next, reading);
    // Answered, it asks for another, or says what it is.
    next = await until(`an answer to ${measure}`, async () => {
      if (fault.test(await person.text())) return { now: null };
      const now = await asked();
      return now && now !== next && { now };
    }).then(({ now }) => now);
  }
  assert.deepEqual(boxes.slice(0, 2), ["next: isolation", "next: isolation reversed"]);
  assert.ok(boxes.includes("next: resistance across R1"), `found by ${boxes}`);

  await person.read(fault);
  const likeliest = (e, wanted) => e.children[0].textContent.includes(wanted);
  await person.seeThat("list", "Suspects", likeliest, suspect);
  await person.write("who measured", "the night shift");
  await person.press("button", "Record");
  await person.read(/Recorded in/);
  const folder = join(served.folder, file.replace(".link.toml", ".bench"));
  assert.ok(existsSync(folder));
  const records = readdirSync(folder);
  assert.equal(records.length, 1);
  const record = readFileSync(join(folder, records[0]), "utf8");
  assert.match(record, /^who = "the night shift"$/m);
  assert.match(record, /^verdict = "faulty"$/m);
  assert.match(record, new RegExp(`\\[\\[suspect\\]\\]\ntext = "${suspect}"`));
  assert.equal(record.match(/^\[\[reading\]\]$/gm).length, boxes.length);
  assert.equal(served.text(file), text, "measuring changes no link");
}

for (const name of browsers) {
  describe(name, () => {
    let browser;
    before(async () => { browser = await launch(name); });
    after(async () => { await browser?.close(); });

    async function journey(way, files, walk) {
      const served = await Served.start(folderWith(files));
      try {
        const person = await Person.at(browser, name, way, served);
        await walk(person, served);
        assert.deepEqual(person.troubles, []);
        await person.leave();
      } finally {
        await served.endAndRemove();
      }
    }

    test("names are what the browser's own accessibility tree says", () =>
      journey("mouse", {}, async (person) => {
        await person.see("button", "Make this link");
        await person.bothWays("button", "Make this link");
        await person.bothWays("radio", "an example");
        await person.bothWays("combobox", "example");
        await person.bothWays("textbox", "name of the file");
        await person.bothWays("heading", "Links");
      }));

    for (const way of ["mouse", "keyboard", "touch"]) {
      test(`a newcomer, by ${way}`, () =>
        journey(way, {}, (person, served) => newcomer(person, served, newcomers[way])));
      test(`a technician at the bench, by ${way}`, () => {
        const link = technicians[way];
        return journey(way, { [link.file]: { text: link.text } },
          (person, served) => technician(person, served, link));
      });
    }
  });
}
