/** Every word of the first screens: letting a device in, and setting up a server that is empty. */

const plural = (n: number, one: string, many: string): string => `${n} ${n === 1 ? one : many}`;

export const textDoor = {
  code: "Code",
  codeStray: (sign: string) => `No code has “${sign}” in it. Look at it once more.`,
  codeShort: "A code has eight signs, such as 4K7M-92XD.",
  again: (seconds: number) => `Again in ${seconds} s`,
  lost: "The server was not reached, or something else answered. Connect this device to the unit's network and try again.",
  notRemembered: "The storage of this device refused it. Load this page again; the device is let in already.",
  once: "Write it down now",
  notIn: "Not let in",
  notSetUp: "Not set up",
  device: "Name of this device",
  deviceHint: "As people of the unit would look for it, for example “Theatre 2 tablet”. Never a patient's name.",
  whose: "Whose device is it?",
  kinds: {
    shared: { label: "Shared", hint: "Several people use it. Whoever writes signs in with a PIN; it locks after 5 minutes." },
    personal: { label: "One person's own", hint: "A phone or computer that one person carries. It stays unlocked for up to 12 hours." },
  },

  enrol: {
    title: "Let this device in",
    lead: "Cards and sheets are read on devices that the unit lead has let in. This one has not been, or not any more.",
    means: [
      "The unit lead makes a code under Office, Devices. It holds for 10 minutes and works once.",
      "From then on this device shows the unit's cards, with or without a network. It keeps a copy of them.",
      "Reading needs no name. Whoever changes something signs in first.",
    ],
    came: "The code came with the address. Press below to let this device in.",
    hint: "Small letters, and a missing hyphen, do not matter.",
    go: "Let this device in",
    away: "The server was not reached. This device needs the unit's network to be let in.",
    tryAgain: "Look for the server again",
    done: (name: string) => `This device is let in as “${name}”.`,
    already: (name: string) => `This device is let in already, as “${name}”. With another code it becomes another device, and whoever is signed in on it is signed out.`,
    revoked: "The unit lead has taken this device out of use. It shows no cards any more, and its copy of them was removed, with what was being written on it.",
    forked: "Two devices were using the name of this one, as happens when a device is copied or put back from a copy. So it reads nothing until it is let in anew.",
    still: (n: number) => `${plural(n, "edit", "edits")} made on it and not on the server yet: kept here, and still sent. The unit lead reads them and decides.`,
    demo: "This is a demonstration with an invented unit. Try it without a code:",
    demoShared: "As the theatre's tablet",
    demoPersonal: "As a surgeon's phone",
  },

  setup: {
    title: "Set up this server",
    lead: "Nothing is on this server yet. Whoever sets it up becomes the unit lead, who lets in all other people and devices.",
    code: "Set-up code",
    codeHint: "The server printed it when it started. Every start makes another one.",
    unit: "Name of the eye unit",
    name: "Your name",
    nameHint: "As colleagues say it, for example first name and surname.",
    go: "Set up",
    needed: "Write it first.",
    needKind: "Choose one.",
    pinTitle: "Your PIN",
    pinLead: "With this PIN you sign in. It is shown this once: the server keeps nothing from which anybody could read it again.",
    pinKeep: "Write it on paper that only you have. Nobody else may know it: what is signed with it stands under your name.",
    pinDone: "I have written it down",
    pinNext: "Next you sign in with it, once, so that you know that you have it right.",
    second: "Then make a second person unit lead. Should one of two lose a PIN, the other issues a new one.",
  },
};
