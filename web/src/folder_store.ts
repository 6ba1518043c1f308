// What lies in the folder; asked again when files came or went.
import { ask, Ended, refusalFrom } from "./ask";
import type { FolderView, LinkTile, LinkView, NewCard, NewLink, Refusal, Trashed } from "./contract";
import { heart } from "./pulse";
import { Store } from "./store";

class FolderStore extends Store {
  view: FolderView | null = null;
  refusal: Refusal | null = null;
  trashed: Trashed | null = null; // what undo would take out of the trash
  readonly tiles = new Map<string, LinkTile>(); // by id, as far as they were asked for
  private seen = -1;
  private telling = false;
  private wanted: string[] = []; // links in sight that have no tile yet

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
      this.tiles.clear(); // files came, went or changed
    });
  }

  // How a link stands that came into sight: one after the other, since each is proven for it.
  want(id: string): void {
    if (this.tiles.has(id) || this.wanted.includes(id)) return;
    this.wanted.push(id);
    void this.tell();
  }

  private async tell(): Promise<void> {
    if (this.telling) return;
    this.telling = true;
    for (let id = this.wanted[0]; id !== undefined; id = this.wanted[0]) {
      try {
        this.tiles.set(id, await ask<LinkTile>(`/api/links/${encodeURIComponent(id)}/tile`));
      } catch (error) {
        if (error instanceof Ended) break;
        this.tiles.delete(id);
      }
      this.wanted.shift();
      this.changed();
    }
    this.telling = false;
  }

  async rename(id: string, name: string): Promise<boolean> {
    return this.become(() => ask<FolderView>(`/api/links/${encodeURIComponent(id)}/rename`, { body: { name } }));
  }

  async trash(id: string): Promise<boolean> {
    return this.become(() => ask<FolderView>(`/api/links/${encodeURIComponent(id)}/trash`, { body: {} }));
  }

  async takeOut(trashed: Trashed): Promise<boolean> {
    return this.become(() => ask<FolderView>("/api/trash", { body: trashed }));
  }

  private async become(task: () => Promise<FolderView>): Promise<boolean> {
    const view = await this.attempt(task);
    if (!view) return false;
    this.view = view;
    this.trashed = view.trashed ?? null;
    this.changed();
    return true;
  }

  // The new link, or null where it was refused.
  async create(order: NewLink): Promise<LinkView | null> {
    const link = await this.attempt(() => ask<LinkView>("/api/links", { body: order }));
    if (link) void this.load(); // so that it is there when somebody comes back
    return link;
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
