// Where the reasons that somebody gave last stand on this device. They are the
// words of a person, so they go when the device is taken out of use.

const prefix = "sideport/reasons/";

export function reasonsKey(person: string | null): string {
  return prefix + (person ?? "");
}

export function forgetReasons(): void {
  try {
    for (const key of Object.keys(localStorage)) if (key.startsWith(prefix)) localStorage.removeItem(key);
  } catch {
    // What cannot be stored cannot be left behind either.
  }
}
