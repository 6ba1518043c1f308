// One hand holds the leads: whoever answers by Enter goes on in what is asked for next, which may
// only be known when the reading has been judged.
let follows = false;

// Whether the next question takes the focus.
export function handFollows(now: boolean): void {
  follows = now;
}

// Asked by what can take the focus: whether it does.
export function takeHand(): boolean {
  const taken = follows;
  follows = false;
  return taken;
}

// From a line of the sheet: to what is asked for next, else to the next line.
export function toNext(input: HTMLInputElement): void {
  follows = true;
  const asked = document.querySelector<HTMLInputElement>(".next .entry input");
  const all = [...document.querySelectorAll<HTMLInputElement>(".sheet-lines input")];
  const next = asked ?? all[all.indexOf(input) + 1];
  if (next) next.focus();
  else input.blur();
}
