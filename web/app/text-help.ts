/** Every word around the guide: its screen, the first steps on the list of the day, and the links from empty screens. The guide itself is docs/guide. */

import type { PersonRole } from "./generated/types";

interface Steps {
  title: string;
  steps: string[];
  /** Where they are done. */
  links?: { label: string; href: string }[];
  /** The page of the guide. */
  page: string;
}

export const textHelp = {
  title: "Help",
  forScreen: "Help for this screen",
  about: "How to work with it",
  back: "All of the help",
  missing: "There is no such page in the help",

  first: {
    region: "First steps",
    more: "Read more",
    away: "Put away",
    nobody: {
      title: "First time here?",
      steps: ["Reading needs no name. Before you change something, choose your name in the last place of the menu.", "The top of the screen says how old the data are."],
      page: "",
    } as Steps,
    roles: {
      scrub: {
        title: "First steps for the scrub nurse",
        steps: ["Press a case and make its sheet.", "Touch a whole row to tick it; what is special stands first.", "“If…” on the sheet says who does what when something goes wrong."],
        page: "scrub-nurse",
      },
      surgeon: {
        title: "First steps for the surgeon",
        steps: ["Your own cards stand first: here on your own phone, and under Cards.", "One value: tap the number on the card, write the new one, keep it.", "Where two people wrote different values, you settle which one holds."],
        page: "surgeon",
      },
      reader: {
        title: "First steps for whoever reads aloud",
        steps: ["Open a case and choose Read aloud.", "Read one line, wait for a value, then press the answer.", "A stored value appears only after the answer."],
        page: "reading-aloud",
      },
      "unit lead": {
        title: "First steps for the unit lead",
        steps: ["Add the people of the unit and issue each a PIN.", "Make a code for each tablet and phone, and let it in.", "Read every starter rule under House rules before the unit relies on it.", "Look under Waiting at what was set aside.", "Tell the team what the tablet does not do."],
        links: [{ label: "People and PINs", href: "/office/people" }, { label: "Devices", href: "/office/devices" }],
        page: "unit-lead",
      },
    } as Record<PersonRole, Steps>,
  },
};
