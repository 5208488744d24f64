// How the pieces of a printed page are laid into columns and pages. No screen:
// heights come in as numbers, in any unit.

export interface Piece {
  height: number;
  /** Belongs to the piece after it: a heading never stands alone at the foot of a column. */
  keep?: boolean;
}

export interface Room {
  /** The height of a page below its head and above its foot. */
  height: number;
  columns: number;
}

/** The places of the pieces: those over the whole width first, then column by column. */
export interface Page {
  wide: number[];
  columns: number[][];
}

/** Columns lower than this share of a page are not begun: a line or two of each would be torn from the rest. */
const lowest = 0.12;

/**
 * Lays every piece, in order, into as few pages as that takes. Nothing is left out and nothing is cut: a piece that is
 * higher than a page stands alone in a column, and the page grows.
 */
export function pack(wide: readonly number[], narrow: readonly Piece[], room: Room): Page[] {
  const pages: Page[] = [blank()];
  const used = layWide(pages, wide, room);
  layNarrow(pages, narrow, room, room.height - used);
  return pages;
}

function blank(): Page {
  return { wide: [], columns: [] };
}

/** Lays what goes over the whole width, and returns how much of the last page it took. */
function layWide(pages: Page[], wide: readonly number[], room: Room): number {
  let used = 0;
  wide.forEach((height, i) => {
    if (used > 0 && used + height > room.height) {
      pages.push(blank());
      used = 0;
    }
    pages.at(-1)!.wide.push(i);
    used += height;
  });
  return used;
}

/** Fills columns from the left, below what stands on the last page already: `high` of it is free. */
function layNarrow(pages: Page[], narrow: readonly Piece[], room: Room, high: number): void {
  if (narrow.length > 0 && high < lowest * room.height) {
    pages.push(blank());
    high = room.height;
  }
  let free = 0; // of the column that is being filled
  for (const run of runs(narrow)) {
    const height = run.reduce((sum, i) => sum + narrow[i]!.height, 0);
    if (height > free) {
      const full = pages.at(-1)!.columns.length === room.columns;
      if (full || (height > high && high < room.height)) {
        pages.push(blank());
        high = room.height;
      }
      pages.at(-1)!.columns.push([]);
      free = high;
    }
    pages.at(-1)!.columns.at(-1)!.push(...run);
    free -= height;
  }
}

/** Headings together with what they head. */
function runs(pieces: readonly Piece[]): number[][] {
  const out: number[][] = [];
  let open = false;
  pieces.forEach((p, i) => {
    if (open) out.at(-1)!.push(i);
    else out.push([i]);
    open = Boolean(p.keep);
  });
  return out;
}

/** How many sheets of paper a page takes: one, unless something higher than a page stands on it. */
export function sheetsOf(page: Page, wide: readonly number[], narrow: readonly Piece[], room: Room): number {
  const sum = (list: readonly number[], of: (i: number) => number) => list.reduce((all, i) => all + of(i), 0);
  const top = sum(page.wide, (i) => wide[i]!);
  const deepest = Math.max(0, ...page.columns.map((c) => sum(c, (i) => narrow[i]!.height)));
  return Math.max(1, Math.ceil((top + deepest) / room.height));
}
