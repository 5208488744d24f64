// The shape of the device's storage, and the ordered list of steps that lead
// to it. A step is never changed once it was released: add another one below.
// Must: no step ever deletes or empties "outbox", "own", "lost" or "sheets".

import type { DBSchema, IDBPDatabase, IDBPTransaction, StoreNames } from "idb";
import type { View } from "../generated/types";
import type { Answer, SheetUse } from "../state";
import type { Document } from "../sync/protocol";
import type { Lost, Restore } from "./compare";
import type { StoredKey } from "./keys";
import type { StoredEntry, StoredOwn, StoredSent } from "./outbox";

export interface MirrorMeta {
  epoch: string;
  seq: number;
  asOf: string;
  /** The hash of the log record at seq. A server that names another one there has another log. */
  head?: string;
}

export interface Schema extends DBSchema {
  /** "mirror": MirrorMeta; "restores": Restore[]; "enrolled": EnrolledDevice; "chain": Chain; "unlocked": StoredOpen; "away": Away; "me", "look", "language", "demo", "revoked", "endSession", "headDiffers": one value each. */
  meta: { key: string; value: unknown };
  docs: { key: string; value: Document & { key: string }; indexes: { seq: number } };
  outbox: { key: number; value: StoredEntry; indexes: { id: string } };
  /** Edits the server has and the mirror does not show yet. */
  sent: { key: number; value: StoredSent };
  answers: { key: string; value: Answer };
  sheets: { key: string; value: SheetUse; indexes: { madeAt: string } };
  revisions: { key: string; value: { key: string; body: unknown; view?: View } };
  /** The newest of this device's edits that have a receipt, for the day the server is restored from an older copy. */
  own: { key: number; value: StoredOwn; indexes: { id: string } };
  /** What a restored server has lost of others, as this device last read it. */
  lost: { key: string; value: Lost };
  /** The keys that people sign with on this device, each opened by its person alone. */
  keys: { key: string; value: StoredKey };
}

/** The restores this device has met, oldest first. */
export type Restores = readonly Restore[];

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
  function ownAndLost(db, tx) {
    db.createObjectStore("own", { keyPath: "n" }).createIndex("id", "id", { unique: true });
    db.createObjectStore("lost", { keyPath: "key" });
    // Whatever is "sent" has its receipt, so it is among the own ones. Should a put fail, the whole step is undone.
    void tx.objectStore("sent").getAll().then((all) => {
      for (const { view: _, ...e } of all) void tx.objectStore("own").put({ ...e, taken: true });
    });
  },
  function keys(db, tx) {
    db.createObjectStore("keys", { keyPath: "person" });
    // The name that the device gave itself: it gets one from the server now. Who was chosen has to sign in.
    void tx.objectStore("meta").delete("device");
  },
];

/** Runs the steps a device with the older version still needs. */
export function migrate(db: IDBPDatabase<Schema>, from: number, tx: Upgrade): void {
  for (const step of migrations.slice(from)) step(db, tx);
}
