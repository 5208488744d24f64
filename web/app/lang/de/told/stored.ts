/** Short words of the client that a device has stored, in the language that it then spoke. */
export const told: readonly (readonly [english: string, german: string])[] = [
  ["New", "Neu"],
  ["Set aside", "Beiseitegelegt"],
];
