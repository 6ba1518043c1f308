// Asks the program. Whatever it answers comes back as the contract says; what goes wrong is either
// Refused, with the program's words, or Ended: nobody answered.
import type { Refusal } from "./contract";

export class Refused extends Error {
  constructor(
    readonly status: number,
    readonly refusal: Refusal,
  ) {
    super(refusal.error);
  }
}

export class Ended extends Error {}

export interface Asking {
  body?: unknown; // posted as JSON
  bytes?: Blob; // posted as they are
  signal?: AbortSignal;
  timeout?: number; // milliseconds
}

const ordinary = 60_000;
let whenEnded: () => void = () => {};

export function onEnded(tell: () => void): void {
  whenEnded = tell;
}

export async function ask<T>(path: string, asking: Asking = {}): Promise<T> {
  const limit = new AbortController();
  const timer = setTimeout(() => limit.abort(), asking.timeout ?? ordinary);
  const pass = () => limit.abort();
  asking.signal?.addEventListener("abort", pass);
  try {
    const answer = await fetch(path, request(asking, limit.signal));
    const text = await answer.text();
    if (!answer.ok) throw new Refused(answer.status, refusalOf(answer.status, text));
    return JSON.parse(text) as T;
  } catch (error) {
    if (error instanceof Refused || asking.signal?.aborted) throw error;
    if (error instanceof SyntaxError) throw new Refused(0, unreadable());
    whenEnded();
    throw new Ended();
  } finally {
    clearTimeout(timer);
    asking.signal?.removeEventListener("abort", pass);
  }
}

function request(asking: Asking, signal: AbortSignal): RequestInit {
  const common: RequestInit = { signal, cache: "no-store", credentials: "same-origin" };
  if (asking.bytes) return { ...common, method: "POST", body: asking.bytes };
  if (asking.body === undefined) return common;
  const headers = { "Content-Type": "application/json" };
  return { ...common, method: "POST", headers, body: JSON.stringify(asking.body) };
}

function refusalOf(status: number, text: string): Refusal {
  try {
    const said = JSON.parse(text) as Partial<Refusal>;
    if (typeof said.error === "string") {
      return { error: said.error, remedy: said.remedy ?? "", problems: said.problems ?? [] };
    }
  } catch {
    // Not in the contract's form: the status has to do.
  }
  return { error: `The program refused this (status ${status}).`, remedy: "", problems: [] };
}

function unreadable(): Refusal {
  return { error: "The program's answer could not be read.", remedy: "", problems: [] };
}

// For a message: refusals in the program's words, everything else in the page's own.
export function refusalFrom(error: unknown): Refusal {
  if (error instanceof Refused) return error.refusal;
  if (error instanceof Ended) {
    return { error: "The program does not answer.", remedy: "", problems: [] };
  }
  return { error: String(error), remedy: "", problems: [] };
}
