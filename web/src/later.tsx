// A fold whose content is drawn only while it is open: what nobody sees costs nothing at a trial.
import type { ComponentChildren } from "preact";
import { useEffect, useState } from "preact/hooks";

interface LaterProps {
  class: string;
  summary: ComponentChildren;
  urged: boolean; // something in it wants to be seen
  children: () => ComponentChildren;
}

export function Later({ class: name, summary, urged, children }: LaterProps) {
  const [open, setOpen] = useState(urged);
  useEffect(() => {
    if (urged) setOpen(true);
  }, [urged]);
  return (
    <details class={name} open={open} onToggle={(event) => setOpen(event.currentTarget.open)}>
      <summary>{summary}</summary>
      {open && children()}
    </details>
  );
}
