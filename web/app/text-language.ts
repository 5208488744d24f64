/** Every word about the language of the screens. */

export const textLanguage = {
  both: "Language / Sprache",
  notKept: "The language was not remembered: the storage of this device refused it. Load the page again and choose once more.",
  missing: "German could not be read on this device, so this is in English. Load the page again with a network.",
  unread: "Translated without a person of the trade having read it. Where it is in doubt, the English counts.",
  own: "What people wrote keeps its words; a decimal point in it is shown as a comma.",
};
