// What several parts of the page look at. Whoever uses a store is drawn anew when it has changed.
import { useLayoutEffect, useReducer } from "preact/hooks";

export class Store {
  private readonly listeners = new Set<() => void>();

  listen(listener: () => void): () => void {
    this.listeners.add(listener);
    return () => this.listeners.delete(listener);
  }

  protected changed(): void {
    for (const listener of [...this.listeners]) listener();
  }
}

export function useStore<S extends Store>(store: S): S {
  const [, redraw] = useReducer<number, void>((count) => count + 1, 0);
  useLayoutEffect(() => store.listen(() => redraw()), [store]);
  return store;
}
