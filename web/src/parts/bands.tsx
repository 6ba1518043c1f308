// A resistor with its bands, in the order of reading.
export function Bands({ colours }: { colours: string[] }) {
  if (colours.length === 0) return null;
  return (
    <svg class="picture bands" viewBox="0 0 72 18" width="72" height="18" role="img" aria-label={colours.join(", ")}>
      <line class="ink" x1="0" y1="9" x2="72" y2="9" />
      <rect class="carbon" x="10" y="2" width="52" height="14" rx="5" />
      {colours.map((colour, index) => (
        <rect key={index} class={`stripe ${colour}`} x={index === colours.length - 1 ? 52 : 16 + index * 9} y="2.5" width="5" height="13" />
      ))}
    </svg>
  );
}
