// The steps of a resistor's slider: E24 (IEC 60063), 10 Ω … 1 MΩ. Values are the program's to
// read; here only the nearest step is looked for.
const base = [10, 11, 12, 13, 15, 16, 18, 20, 22, 24, 27, 30, 33, 36, 39, 43, 47, 51, 56, 62, 68, 75, 82, 91];

export const steps: number[] = [...[1, 10, 100, 1e3, 1e4].flatMap((decade) => base.map((value) => value * decade)), 1e6];

export function stepText(step: number): string {
  const ohms = steps[step] ?? 1e3;
  if (ohms >= 1e6) return `${short(ohms / 1e6)} MΩ`;
  if (ohms >= 1e3) return `${short(ohms / 1e3)} kΩ`;
  return `${short(ohms)} Ω`;
}

// Nearest step to what stands there: "330 Ω ± 5 %", "4k7", "4.7 kΩ"; null where it is no plain value.
export function nearestStep(text: string): number | null {
  const ohms = ohmsOf(headOf(text));
  if (ohms === null) return null;
  let best = 0;
  for (let step = 1; step < steps.length; step++) {
    if (Math.abs(Math.log(steps[step]! / ohms)) < Math.abs(Math.log(steps[best]! / ohms))) best = step;
  }
  return best;
}

// The same text with another value: the tolerance stays.
export function withStep(text: string, step: number): string {
  const tail = text.slice(headOf(text).length).trim();
  return tail ? `${stepText(step)} ${tail}` : stepText(step);
}

// A plain value and nothing said of its spread.
export function isBare(text: string): boolean {
  return headOf(text) === text && ohmsOf(text) !== null;
}

function headOf(text: string): string {
  const at = text.search(/±|\+\/?-|\.\./);
  return at < 0 ? text : text.slice(0, at);
}

function ohmsOf(text: string): number | null {
  const found = /^\s*(\d*[.,]?\d+)\s*([kKMRΩ]?)(\d*)\s*(?:Ω|ohms?)?\s*$/.exec(text);
  if (!found) return null;
  const unit = { k: 1e3, K: 1e3, M: 1e6 }[found[2] ?? ""] ?? 1;
  const number = Number(`${found[1]!.replace(",", ".")}${found[3] ? `.${found[3]}` : ""}`);
  return number > 0 ? number * unit : null;
}

function short(value: number): string {
  return String(Number(value.toPrecision(2)));
}
