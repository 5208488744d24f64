// Boot: what this device holds is shown first; the service worker, the server
// and the core follow behind and are never waited for.

import { effect } from "@preact/signals";
import { render } from "preact";
import { calm } from "./calm";
import { core } from "./core/core";
import { inTime } from "./intime";
import { putLanguage } from "./lang/language";
import { readDevice, readPersisted } from "./local/device";
import { startIdleLock } from "./local/idle";
import { comeBack } from "./local/otherways";
import { readMirror } from "./local/mirror";
import { readNamedCard } from "./local/named";
import { readEdits } from "./local/outbox";
import { readSheets } from "./local/sheets";
import { readyTimes } from "./parts";
import { route } from "./router";
import { asOf, enrolled, server, started, storage } from "./signals";
import { startSync } from "./sync/sync";
import { registerWorker } from "./update";
import { readDesk, readScreen } from "./views/screens";
import { App } from "./views/shell";

async function readAll(): Promise<void> {
  const { parts } = route.peek();
  const named = parts[0] === "sheet" ? parts[1] : undefined;
  await Promise.all([readDevice(), readMirror(), readEdits(), readSheets(new Date(), named)]);
}

/** Where the address names a card, that card is on the screen before the rest is read. */
async function readCardFirst(): Promise<void> {
  const [first, id, face] = route.peek().parts;
  if (first !== "cards" || !id || face) return;
  const [, , here] = await Promise.all([readDevice(), readEdits(), readNamedCard(id)]);
  if (here) await show();
}

/** A file that the first screen would like to be drawn with, and may be drawn without. */
const patience = 4_000;

let putting: Promise<void> | null = null;

/** The words of this device's language. */
function words(): Promise<void> {
  return (putting ??= putLanguage());
}

/** A touch or a key that waits is heard first. */
const breath = (): Promise<void> => new Promise((resolve) => setTimeout(resolve));

/** Nothing is drawn before its words are there. */
async function show(): Promise<void> {
  await words();
  readyTimes();
  await breath();
  if (started.peek()) return;
  started.value = true;
  const page = document.getElementById("app")!;
  page.replaceChildren(); // before anything is drawn above what the page said until now, and moves it
  render(<App />, page);
}

function storageBlocked(): Promise<void> {
  return new Promise((resolve) => effect(() => void (storage.value.state === "blocked" && resolve())));
}

/** On a device that holds nothing yet the unit comes first: what only follows shares no slow network with it. */
function somethingToShow(): Promise<void> {
  return new Promise((resolve) => effect(() => void ((asOf.value || server.value !== "not tried") && resolve())));
}

async function boot(): Promise<void> {
  // Without storage, or with one that never answers, the page still opens; what is wrong with it stands in status.
  const read = readCardFirst()
    .then(readAll)
    .catch((error) => console.error("read this device:", error));
  // A screen in a file of its own is drawn with its words: they come first.
  const screen = read.then(words).then(() => (enrolled.peek() ? inTime(readScreen(route.peek().parts), patience).catch(() => undefined) : undefined)); // a late one says meanwhile that it is read
  await Promise.race([screen, storageBlocked()]);
  await show();
  // Before the first round, which would end the session that the browser comes back with.
  const back = comeBack();
  startSync();
  back.then(startIdleLock).catch((error) => console.error("lock this device:", error));
  await inTime(somethingToShow(), patience).catch(() => undefined); // a server that does not answer holds nothing up for ever
  registerWorker().catch((error) => console.error("service worker:", error));
  await calm();
  core.start().catch(() => {}); // why stands in its signal
  await readPersisted();
  await calm();
  await readDesk();
}

void boot();
