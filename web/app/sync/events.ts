// Reads a stream of server-sent events piece by piece. Pure.

export interface Reader {
  /** Takes the next piece of the stream and returns the data of the events it completes. */
  take(piece: string): string[];
}

export function eventReader(event: string): Reader {
  let rest = "";
  return {
    take(piece) {
      const blocks = (rest + piece.replaceAll("\r", "")).split("\n\n");
      rest = blocks.pop()!;
      return blocks.map((b) => dataOf(b, event)).filter((d): d is string => d !== null);
    },
  };
}

function dataOf(block: string, event: string): string | null {
  let name = "message";
  const data: string[] = [];
  for (const line of block.split("\n")) {
    if (line.startsWith("event:")) name = line.slice(6).trim();
    else if (line.startsWith("data:")) data.push(line.slice(5).replace(/^ /, ""));
  }
  return name === event && data.length > 0 ? data.join("\n") : null;
}
