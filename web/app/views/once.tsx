import "./door.css";

/** A code or a PIN that is shown this once, large enough to be copied from across a table; read out sign by sign. */
export function Once({ label, children }: { label: string; children: string }) {
  return <p class="once" role="img" aria-label={`${label}: ${[...children].filter((sign) => sign !== " ").join(" ")}`}>{children}</p>;
}

/** Six digits in two groups, as people say them. */
export function pinShown(pin: string): string {
  return `${pin.slice(0, 3)} ${pin.slice(3)}`;
}
