// Work that must not overtake earlier work of its kind. Pure.

/** Returns a runner that does one piece of work after the other, in the order they were given; one that fails does not hold up the next. */
export function queue(): <T>(work: () => Promise<T>) => Promise<T> {
  let last: Promise<unknown> = Promise.resolve();
  return (work) => {
    const mine = last.then(work);
    last = mine.catch(() => {});
    return mine;
  };
}
