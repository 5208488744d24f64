// The shape of the device's storage, and the ordered list of steps that lead
// to it. A step is never changed once it was released: add another one below.
// Must: no step ever deletes or empties "outbox" or "sheets".

import type { DBSchema, IDBPDatabase, IDBPTransaction, StoreNames } from "idb";
import type { View } from "../generated/types";
import type { Answer, SheetUse } from "../state";
import type { Document } from "../sync/protocol";
import type { StoredEntry, StoredSent } from "./outbox";

export interface MirrorMeta {
  epoch: string;
  seq: number;
  asOf: string;
}

export interface Schema extends DBSchema {
  /** "mirror": MirrorMeta; "device", "me", "look", "demo": one value each. */
  meta: { key: string; value: unknown };
  docs: { key: string; value: Document & { key: string }; indexes: { seq: number } };
  outbox: { key: number; value: StoredEntry; indexes: { id: string } };
  /** Edits the server has and the mirror does not show yet. */
  sent: { key: number; value: StoredSent };
  answers: { key: string; value: Answer };
  sheets: { key: string; value: SheetUse; indexes: { madeAt: string } };
  revisions: { key: string; value: { key: string; body: unknown; view?: View } };
}

export type Upgrade = IDBPTransaction<Schema, StoreNames<Schema>[], "versionchange">;

type Step = (db: IDBPDatabase<Schema>, tx: Upgrade) => void;

export const migrations: readonly Step[] = [
  function first(db) {
    db.createObjectStore("meta");
    db.createObjectStore("docs", { keyPath: "key" }).createIndex("seq", "seq");
    db.createObjectStore("outbox", { keyPath: "n", autoIncrement: true }).createIndex("id", "id", { unique: true });
    db.createObjectStore("sent", { keyPath: "n" });
    db.createObjectStore("answers", { keyPath: "id" });
    db.createObjectStore("sheets", { keyPath: "caseId" }).createIndex("madeAt", "madeAt");
    db.createObjectStore("revisions", { keyPath: "key" });
  },
];

/** Runs the steps a device with the older version still needs. */
export function migrate(db: IDBPDatabase<Schema>, from: number, tx: Upgrade): void {
  for (const step of migrations.slice(from)) step(db, tx);
}
