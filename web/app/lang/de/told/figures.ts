/** Counts of published series that stand alone in a cell. The look-up sets their thousands apart: in German a comma would be a decimal mark. */
export const told: readonly (readonly [english: string, german: string])[] = [
  ["55,567", "55,567"],
  ["180,114", "180,114"],
  ["961,208", "961,208"],
  ["2,853,376", "2,853,376"],
];
