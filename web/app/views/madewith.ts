export interface Part {
  name: string;
  licence: string;
}

/** Parts made by others: in this page, then in the core and the server. Versions and full texts stand in licences.txt and go.mod. */
export const parts: readonly Part[] = [
  { name: "preact", licence: "MIT" },
  { name: "@preact/signals", licence: "MIT" },
  { name: "@preact/signals-core", licence: "MIT" },
  { name: "idb", licence: "ISC" },
  { name: "qr", licence: "MIT" },
  { name: "Atkinson Hyperlegible Next", licence: "OFL-1.1" },
  { name: "Go", licence: "BSD-3-Clause" },
  { name: "goldmark", licence: "MIT" },
  { name: "fiber", licence: "MIT" },
  { name: "bbolt", licence: "MIT" },
];
