// Reads a picture that the program drew. It escapes what files say; that only shapes and text
// get in here is the second line of defence.
const shapes = new Set([
  "svg",
  "g",
  "title",
  "desc",
  "defs",
  "path",
  "line",
  "polyline",
  "polygon",
  "rect",
  "circle",
  "ellipse",
  "text",
  "tspan",
  "pattern",
  "clipPath",
  "mask",
  "marker",
  "use",
  "symbol",
]);
const space = "http://www.w3.org/2000/svg";

export function drawingFrom(text: string): SVGSVGElement | null {
  const read = new DOMParser().parseFromString(text, "image/svg+xml");
  const root = read.documentElement;
  if (root.namespaceURI !== space || root.localName !== "svg") return null;
  if (read.getElementsByTagName("parsererror").length > 0) return null;
  clean(root);
  return document.importNode(root, true) as unknown as SVGSVGElement;
}

function clean(element: Element): void {
  for (const child of [...element.children]) {
    if (child.namespaceURI === space && shapes.has(child.localName)) clean(child);
    else child.remove();
  }
  for (const { name, value } of [...element.attributes]) {
    const reference = name === "href" || name.endsWith(":href");
    const outward = /url\(\s*['"]?[^#'")\s]/i.test(value);
    if (/^on/i.test(name) || name === "style" || outward || (reference && !value.startsWith("#"))) {
      element.removeAttribute(name);
    }
  }
}
