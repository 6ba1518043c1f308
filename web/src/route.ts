// Addresses of screens: everything behind the hash, so that back, forward and reload work.
import { Store } from "./store";

export const linkScreens = ["need", "circuit", "proof", "build", "bench"] as const;
export type LinkScreen = (typeof linkScreens)[number];

export type Route =
  | { at: "folder" }
  | { at: "link"; id: string; screen: LinkScreen }
  | { at: "card"; id: string }
  | { at: "drawer"; id: string }
  | { at: "fit" }
  | { at: "chart"; id: string };

export function address(route: Route): string {
  switch (route.at) {
    case "folder":
      return "#/";
    case "fit":
      return "#/fit";
    case "link":
      return `#/link/${encodeURIComponent(route.id)}/${route.screen}`;
    default:
      return `#/${route.at}/${encodeURIComponent(route.id)}`;
  }
}

export function routeOf(hash: string): Route {
  const [kind, raw, screen] = hash.replace(/^#\/?/, "").split("/");
  const id = decoded(raw ?? "");
  if (kind === "fit") return { at: "fit" };
  if (kind === "card" && id) return { at: "card", id };
  if (kind === "drawer" && id) return { at: "drawer", id };
  if (kind === "chart" && id) return { at: "chart", id };
  if (kind === "link" && id) {
    const known = linkScreens.find((name) => name === screen);
    return { at: "link", id, screen: known ?? "circuit" };
  }
  return { at: "folder" };
}

function decoded(raw: string): string {
  try {
    return decodeURIComponent(raw);
  } catch {
    return "";
  }
}

class Place extends Store {
  route = routeOf(location.hash);

  start(): void {
    addEventListener("hashchange", () => {
      this.route = routeOf(location.hash);
      this.changed();
    });
  }

  go(route: Route): void {
    location.hash = address(route);
  }
}

export const place = new Place();
