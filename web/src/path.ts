// Where a value stands in a file, compared.
import type { Path } from "./contract";

export function samePath(a: Path | null, b: Path | null): boolean {
  return !!a && !!b && a.length === b.length && a.every((step, index) => step === b[index]);
}

export function keyOf(at: Path): string {
  return JSON.stringify(at);
}
