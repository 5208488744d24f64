// The words around signing in. They are read with the screens of the desk.

export const textPin = {
  title: "Who is editing?",
  lead: "A change carries the name of whoever is signed in. Reading needs nobody: cards, sheets, pauses and drills open without a PIN.",
  leadShared: "This device is used by several people: after five minutes without a touch it locks by itself. What was being written stays.",
  leadOwn: "On this device you stay signed in for twelve hours.",
  choose: "Tap your name",
  nobodyKnown: "No people have been read on this device yet. Connect once to the server.",
  invented: "invented",

  editingAs: (name: string) => `Editing as ${name}`,
  checkedHere: "This device checked the PIN by itself, without the server. Changes made now are marked so.",
  signOut: "Sign out",
  signedOut: "Nobody is signed in now. What waits to be sent stays on this device.",
  goOn: "Go on",

  pin: "PIN",
  pinOf: (name: string) => `PIN of ${name}`,
  six: "Six digits, as the unit lead handed them over. Who has lost theirs asks for another.",
  digit: (n: number) => String(n),
  remove: "Take the last digit away",
  digitsTyped: (n: number) => `${n} of 6 digits`,
  checking: "Looking at the PIN …",
  back: "Back to the names",
  again: (seconds: number) => `Wait ${seconds < 120 ? `${seconds} ${seconds === 1 ? "second" : "seconds"}` : `${Math.ceil(seconds / 60)} minutes`}, then try again.`,
  broke: "This device's storage did not answer. Load the page again, then sign in.",

  otherWays: "Other ways to sign in",
  byPasskey: "Sign in with this phone's passkey",
  bySignOn: "Sign in at the hospital's single sign-on",
  nextTime: "Next time without the PIN",
  nextTimeWhy: "The PIN stays good, and is needed while the server is not reached.",
  addPasskey: "Make a passkey on this phone",
  linkSignOn: "Link the hospital's single sign-on",
  signInAgain: "Sign in again",
  passkeyAdded: "The passkey is kept. Next time this phone can let you in.",

  toKeep: "Your PIN, to keep this",
  toKeepWhy: "This device is locked. The change is kept under the name of whoever signs in now.",
  cancel: "Do not keep it now",
  notMe: "I am somebody else",
} as const;
