// A picture of the program's, put into the page as it is. It is parsed again only when its text
// changed.
import { useLayoutEffect, useRef } from "preact/hooks";
import { drawingFrom } from "./drawing";

export function Picture({ svg, class: name = "" }: { svg: string; class?: string }) {
  const frame = useRef<HTMLDivElement>(null);
  useLayoutEffect(() => void put(frame.current, svg), [svg]);
  return <div class={`drawn ${name}`} ref={frame} />;
}

export function put(frame: HTMLElement | null, svg: string): SVGSVGElement | null {
  const drawing = svg ? drawingFrom(svg) : null;
  if (drawing) frame?.replaceChildren(drawing);
  else frame?.replaceChildren(svg ? "This picture could not be read." : "");
  return drawing;
}

// With a caption, scrollable in its own frame where it is wider than the page.
export function Figure({ svg, caption, children }: { svg: string; caption: string; children?: preact.ComponentChildren }) {
  return (
    <figure>
      <div class="scroll" tabIndex={0} role="group" aria-label={caption}>
        <Picture svg={svg} />
      </div>
      <figcaption>
        {caption} {children}
      </figcaption>
    </figure>
  );
}
