// The events on the screen are the newest page, asked for now and then, and the
// older ones that somebody asked for. Between two of them none may be missing.

import type { OfficeEvent } from "../../sync/office";

export interface Known {
  events: OfficeEvent[]; // newest first
  more: boolean; // there are older ones
}

/** What is known after the newest page has been read anew. */
export function joined(known: Known, page: Known): Known {
  const oldest = page.events[page.events.length - 1];
  if (!oldest || !page.more) return page; // the page holds everything there is
  const before = known.events.filter((e) => e.seq < oldest.seq);
  const meets = known.events.some((e) => e.seq >= oldest.seq);
  // Where they do not meet, what came between was never read: those below are asked for again.
  return meets ? { events: [...page.events, ...before], more: before.length > 0 ? known.more : page.more } : page;
}
