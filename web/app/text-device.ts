// What the device itself has to say: storage, sending, the core. The words of
// the screens are in text.ts and text-case.ts.

export const textDevice = {
  storageClosed:
    "This device's storage stopped answering. Nothing more can be kept here until the page is loaded again. Edits already kept are still on the device.",
  storageSlow:
    "This device's storage does not answer. Close other tabs of this program, then load this page again.",
  storageBlocked: "Another tab of this program is still open in an older version. Close it, and this one goes on.",
  storageNewer: "A newer version of this program is open in another tab. Load this page again to go on here.",
  storageMissing:
    "This browser gives no storage to this page (a private window, or storage is switched off). Cards cannot be kept here: use an ordinary window.",
  storageFull: "Not kept: the storage of this device is full. Free some space, then keep again.",
  tooLarge: "Not kept: this is too large to be sent. Take something away, then keep again.",
  notWritten: "Not kept: the storage of this device refused it. Load the page again and repeat the change.",

  coreMissing:
    "Not kept: the part that checks cards has not loaded on this device. Reading works; to edit, connect once to the server and load the page again.",
  coreSlow: "Not kept: the check did not finish. Try again.",
  coreBroke: "The check stopped unexpectedly and was started again. Nothing was kept: try again.",
  problems: "Not kept: this needs mending first.",
  nobody: "Not kept: say first who you are.",
  notEnrolled: "Not kept: the unit lead has not let this device in yet.",
  revoked: "Not kept: this device was taken out of use.",
  notSignedIn: "Not kept: nobody signed in. What you wrote is still here.",
  notAllowed: (name: string) => `Not kept: what ${name} does in this unit does not include this. The unit lead says who does what.`,

  triesLeft: (n: number) => (n === 1 ? "1 more try." : `${n} more tries.`),
  wrongPin: (n: number) => `That is not the PIN. ${n === 1 ? "1 more try" : `${n} more tries`} until this person is locked on this device.`,
  notOpened: {
    none: "The server is not reached, and this person has not signed in on this device yet. Connect once to the server, then sign in.",
    locked: "Too many wrong PINs: this person is locked on this device until it reaches the server. Reading goes on.",
    away: "This device has not reached the server for three days. Until it does, nobody can sign in on it. Reading goes on.",
  },
  keyNotRegistered: "You are signed in, but this device could not register a key for your changes. Try once more.",
  missingCard: (id: string) => `There is no card called "${id}" on this device. Choose another card, or read from the server first.`,
  missingRules: "The house rules are not on this device yet. Connect once to the server, then make the sheet.",

  newDocument: "New",

  revisionOffline: (rev: number) => `Revision ${rev} has not been read on this device. Connect to the server to read it.`,
  revisionRefused: (rev: number) => `The server did not give revision ${rev}.`,

  damaged: "Part of the server's data is damaged. This device shows nothing of it, or what it read before the damage. Tell whoever looks after the server.",

  otherEpoch: "The server was restored from an older copy. This is sent once the device has read it again.",
  offeredAgain: "The server was restored from an older copy and lost this. It is sent again.",

  fileNotOurs: "Nothing was taken in: this is not a file of waiting edits, as the Waiting screen of another device saves it.",
  fileEdit: (n: number, wrong: string) => `Nothing was taken in: edit ${n} of the file ${wrong}. Save it again on the other device.`,
  fileNoEdit: "is no edit",
  fileWrong: (field: string) => `has no right “${field}”`,
  fileExtra: (field: string) => `has “${field}”, which no edit has`,
  fileOtherEpoch:
    "Nothing was taken in: the file is of another state of the server. Let this device read from the server first, or use a device that was here before the server was restored.",
  fromFile: "Taken in from the file of another device",

  notReached: "The server was not reached.",
  busy: "The server was busy and asked to wait.",
  unavailable: "The server could not keep it and asked to send it again later.",
  strangeAnswer: "Something other than the server answered.",

  passkeyStopped: "The phone did not answer with a passkey. Try again, or sign in with the PIN.",
  came: {
    "signed-in": "You are signed in.",
    linked: "Linked. Next time the hospital's single sign-on lets you in.",
    "not-signed-in": "The single sign-on did not let anybody in. Begin again, or sign in with the PIN.",
    "not-linked": "This sign-on is not linked to a person of the unit, or to somebody else. Sign in with the PIN and link it here first, or ask the unit lead.",
    "not-reached": "The hospital's single sign-on did not answer. Sign in with the PIN.",
  },
} as const;
