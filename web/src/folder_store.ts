// What lies in the folder; asked again when files came or went.
import { ask, Ended, refusalFrom } from "./ask";
import type { FolderView, LinkView, NewCard, NewLink, Refusal } from "./contract";
import { heart } from "./pulse";
import { Store } from "./store";

class FolderStore extends Store {
  view: FolderView | null = null;
  refusal: Refusal | null = null;
  private seen = -1;

  constructor() {
    super();
    heart.listen(() => {
      if (heart.state !== "up" || !heart.pulse) return;
      const moved = heart.pulse.folder !== this.seen;
      this.seen = heart.pulse.folder;
      if (moved || !this.view) void this.load();
    });
  }

  async load(): Promise<void> {
    await this.attempt(async () => {
      this.view = await ask<FolderView>("/api/folder");
    });
  }

  // The new link, or null where it was refused.
  async create(order: NewLink): Promise<LinkView | null> {
    return this.attempt(() => ask<LinkView>("/api/links", { body: order }));
  }

  async saveCard(card: NewCard): Promise<boolean> {
    const view = await this.attempt(() => ask<FolderView>("/api/cards", { body: card }));
    if (view) this.view = view;
    this.changed();
    return view !== null;
  }

  async putChart(file: File): Promise<boolean> {
    const query = new URLSearchParams({ name: file.name });
    const view = await this.attempt(() => ask<FolderView>(`/api/charts?${query}`, { bytes: file }));
    if (view) this.view = view;
    this.changed();
    return view !== null;
  }

  drop(): void {
    this.refusal = null;
    this.changed();
  }

  private async attempt<T>(task: () => Promise<T>): Promise<T | null> {
    try {
      const result = await task();
      this.refusal = null;
      this.changed();
      return result;
    } catch (error) {
      if (!(error instanceof Ended)) this.refusal = refusalFrom(error);
      this.changed();
      return null;
    }
  }
}

export const folder = new FolderStore();
