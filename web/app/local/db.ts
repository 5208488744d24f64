// The one door to IndexedDB. Connections die (browsers drop them under memory
// pressure or after sleep), so every piece of work runs through read or write,
// which open again once and then say plainly that nothing can be kept.

import { openDB, type IDBPDatabase, type IDBPTransaction, type StoreNames } from "idb";
import { storage } from "../signals";
import { textDevice } from "../text-device";
import { migrate, migrations, type Schema } from "./migrations";

const name = "sideport";
const openTimeout = 8_000;

export type Store = StoreNames<Schema>;
export type Tx<S extends Store, M extends IDBTransactionMode> = IDBPTransaction<Schema, S[], M>;

let opening: Promise<IDBPDatabase<Schema>> | null = null;

/** Reads; the work must only await requests of its transaction. */
export function read<S extends Store, T>(stores: S[], work: (tx: Tx<S, "readonly">) => Promise<T>): Promise<T> {
  return withDatabase(async (db) => {
    const tx = db.transaction(stores, "readonly");
    return settled(tx, work);
  });
}

/**
 * Writes in one transaction and resolves when the browser says that it is on disk.
 * Must: the work may run a second time on a new connection, so it has to be
 * idempotent, and it must only await requests of its transaction.
 */
export function write<S extends Store, T>(stores: S[], work: (tx: Tx<S, "readwrite">) => Promise<T>): Promise<T> {
  return withDatabase(async (db) => {
    // Strict: the default reports completion before the disk has the data.
    const tx = db.transaction(stores, "readwrite", { durability: "strict" });
    return settled(tx, work);
  });
}

async function settled<S extends Store, M extends IDBTransactionMode, T>(tx: Tx<S, M>, work: (tx: Tx<S, M>) => Promise<T>): Promise<T> {
  // Waited for below; this keeps an abort during the work from counting as unhandled.
  tx.done.catch(() => {});
  let result: T;
  try {
    result = await work(tx);
  } catch (error) {
    abort(tx);
    throw error;
  }
  await tx.done;
  return result;
}

function abort(tx: { abort(): void }): void {
  try {
    tx.abort();
  } catch {
    // Already finished or aborted: the first error is the one that counts.
  }
}

async function withDatabase<T>(work: (db: IDBPDatabase<Schema>) => Promise<T>): Promise<T> {
  try {
    return await work(await open());
  } catch (error) {
    if (!connectionDied(error)) throw error;
  }
  drop();
  try {
    return await work(await open());
  } catch (error) {
    if (connectionDied(error)) block(textDevice.storageClosed);
    throw error;
  }
}

function connectionDied(error: unknown): boolean {
  return error instanceof DOMException && (error.name === "InvalidStateError" || error.name === "UnknownError");
}

function open(): Promise<IDBPDatabase<Schema>> {
  opening ??= connect().catch((error) => {
    opening = null;
    throw error;
  });
  return opening;
}

async function connect(): Promise<IDBPDatabase<Schema>> {
  if (!("indexedDB" in globalThis)) {
    block(textDevice.storageMissing);
    throw new Error("no IndexedDB");
  }
  const slow = setTimeout(() => block(textDevice.storageSlow), openTimeout);
  try {
    const db = await awake(() => openDB<Schema>(name, migrations.length, {
      upgrade: (db, from, _to, tx) => migrate(db, from, tx),
      blocked: () => block(textDevice.storageBlocked),
      blocking: giveWay,
      terminated: drop,
    }));
    storage.value = { state: "ok", text: null };
    return db;
  } catch (error) {
    if (!connectionDied(error)) block(refusal(error));
    throw error;
  } finally {
    clearTimeout(slow);
  }
}

// A page that is left while it makes the database may be frozen for the way
// back, and would keep every later page from opening it. One that holds a lock is not frozen.
function awake<T>(work: () => Promise<T>): Promise<T> {
  return navigator.locks ? (navigator.locks.request("sideport-open", { mode: "shared" }, work) as Promise<T>) : work();
}

function refusal(error: unknown): string {
  const kind = error instanceof DOMException ? error.name : "";
  if (kind === "VersionError") return textDevice.storageNewer;
  if (kind === "SecurityError") return textDevice.storageMissing;
  return textDevice.storageClosed;
}

// A newer version wants to change the storage: let it, and say that this page is old.
function giveWay(_current: number, _blocked: number | null, event: IDBVersionChangeEvent): void {
  (event.target as IDBDatabase).close();
  opening = null;
  block(textDevice.storageNewer);
}

function drop(): void {
  opening?.then((db) => db.close()).catch(() => {});
  opening = null;
}

function block(text: string): void {
  storage.value = { state: "blocked", text };
}
