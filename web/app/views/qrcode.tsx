import encodeQR from "qr";

/** White modules that ISO/IEC 18004 asks for on every side of the symbol. */
const quiet = 4;

interface QRCodeProps {
  /** What it holds: an address of this program on this server. */
  address: string;
  /** What it leads to, for who does not see it. */
  label: string;
  class: string;
}

/** A QR code (ISO/IEC 18004), black on white in every look. */
export function QRCode({ address, label, class: name }: QRCodeProps) {
  const modules = encodeQR(address, "raw", { ecc: "medium", border: quiet });
  const size = modules.length;
  return (
    <svg class={name} viewBox={`0 0 ${size} ${size}`} role="img" aria-label={label} shape-rendering="crispEdges">
      <path d={modules.map(rowPath).join("")} />
    </svg>
  );
}

/** The dark runs of one row. */
function rowPath(row: readonly boolean[], y: number): string {
  let path = "";
  for (let x = 0; x < row.length; x++) {
    if (!row[x]) continue;
    const from = x;
    while (row[x + 1]) x++;
    path += `M${from} ${y}h${x - from + 1}v1H${from}z`;
  }
  return path;
}
