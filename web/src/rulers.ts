// Names of a board's rows and columns stay in sight while its drawing is moved in its frame: the row
// numbers at the left edge and the column letters at the top come along.
const space = "http://www.w3.org/2000/svg";

interface Ruler {
  group: SVGGElement;
  box: DOMRect; // where it stands by itself, in the drawing's units
}

const known = new WeakMap<SVGSVGElement, { left: Ruler | null; head: Ruler | null }>();

// Call when the drawing is new, has another size, or was moved.
export function keepRulers(frame: HTMLElement, drawing: SVGSVGElement): void {
  let rulers = known.get(drawing);
  if (!rulers) known.set(drawing, (rulers = { left: rulerOf(drawing, "left"), head: rulerOf(drawing, "head") }));
  if (!rulers.left && !rulers.head) return;
  const matrix = drawing.getScreenCTM();
  if (!matrix) return;
  const edge = frame.getBoundingClientRect();
  const left = (edge.left + frame.clientLeft - matrix.e) / matrix.a;
  const top = (edge.top + frame.clientTop - matrix.f) / matrix.d;
  move(rulers.left, Math.max(0, left + beside - (rulers.left?.box.x ?? 0)), 0);
  move(rulers.head, 0, Math.max(0, top + beside - (rulers.head?.box.y ?? 0)));
  hideCut(rulers.left, edge);
  hideCut(rulers.head, edge);
}

// Half a name can be taken for another: of a plus a minus is left.
function hideCut(ruler: Ruler | null, edge: DOMRect): void {
  const boxes = [...(ruler?.group.querySelectorAll("text") ?? [])].map((text) => [text, text.getBoundingClientRect()] as const);
  for (const [text, box] of boxes) {
    const whole = box.left >= edge.left && box.right <= edge.right && box.top >= edge.top - 1 && box.bottom <= edge.bottom + 1;
    text.style.visibility = whole ? "" : "hidden";
  }
}

const beside = 4;

function rulerOf(drawing: SVGSVGElement, name: string): Ruler | null {
  const group = drawing.querySelector<SVGGElement>(`.ruler.${name}`);
  if (!group) return null;
  const box = group.getBBox();
  const ground = document.createElementNS(space, "rect");
  ground.setAttribute("class", "ruler-ground");
  ground.setAttribute("x", String(box.x - beside));
  ground.setAttribute("y", String(box.y - beside));
  ground.setAttribute("width", String(box.width + 2 * beside));
  ground.setAttribute("height", String(box.height + 2 * beside));
  group.prepend(ground);
  drawing.append(group); // over all that it comes to lie on
  return { group, box };
}

function move(ruler: Ruler | null, x: number, y: number): void {
  if (!ruler) return;
  ruler.group.classList.toggle("moved", x + y > 0);
  if (x + y > 0) ruler.group.setAttribute("transform", `translate(${x} ${y})`);
  else ruler.group.removeAttribute("transform");
}
