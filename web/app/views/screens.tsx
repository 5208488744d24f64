// Which screen an address shows. What is opened in theatre is here at once; the
// screens of the desk are read when the page is idle, or when one is opened.

import { signal } from "@preact/signals";
import type { ComponentType } from "preact";
import { useEffect, useState } from "preact/hooks";
import { deskWords } from "../lang/said";
import { Button, EmptyState, Screen, Stop, toast } from "../parts";
import { asking } from "../state";
import { text } from "../text";
import { CardView } from "./card";
import { Cards } from "./cards";
import { changing } from "./changing";
import { EnrolView } from "./enrol";
import { Ifs } from "./ifs";
import { SheetView } from "./sheet";
import { Today } from "./today";
import { Waiting } from "./waiting";

/** How a screen in a file of its own is read. */
const readers = new Map<ComponentType, () => Promise<void>>();
const desk = later(() => deskWords().then(() => import("./desk")));
const office = later(() => import("./office"));

export function viewOf([first, id, face]: readonly string[]): ComponentType {
  switch (first) {
    case undefined: return Today;
    case "cards":
      if (!id) return Cards;
      if (id === "new" || face === "edit") return EditCard;
      if (face === "paper") return CardPaper;
      if (face === "compare") return Compare;
      return face === "history" ? History : CardView;
    case "case": return CaseForm;
    case "sheet": return face === "paper" ? SheetPaper : SheetView;
    case "waiting": return id === "set-aside" ? SetAside : Waiting;
    case "person": return PersonView;
    case "list": return ListView;
    case "about": return About;
    case "help": return Help;
    case "rules": return Rules;
    case "proposals": return Proposals;
    case "if": return Ifs;
    case "records": return Records;
    case "reckon": return Reckon;
    case "risk": return Risk;
    case "office": return officeOf(id, face);
    case "enrol": return EnrolView;
  }
  return Lost;
}

const About = desk.screen((d) => d.About);
const CaseForm = desk.screen((d) => d.CaseForm);
export const ChangeValue = desk.screen((d) => d.ChangeValue, () => {
  changing.value = null;
  toast(text.screenMissing, { stays: true });
});
const EditCard = desk.screen((d) => d.EditCard);
const Compare = desk.screen((d) => d.Compare);
const History = desk.screen((d) => d.History);
const PersonView = desk.screen((d) => d.PersonView);
// Where it cannot be read, nobody is asked and nothing is kept.
export const PinDialog = desk.screen((d) => d.PinDialog, () => asking.peek()?.done(null));
const Proposals = desk.screen((d) => d.Proposals);
const Reckon = desk.screen((d) => d.Reckon);
const Risk = desk.screen((d) => d.Risk);
const Rules = desk.screen((d) => d.Rules);
const SetAside = desk.screen((d) => d.SetAside);
const CardPaper = desk.screen((d) => d.CardPaper);
const Help = desk.screen((d) => d.Help);
const ListView = desk.screen((d) => d.ListView);
const Records = desk.screen((d) => d.Records);
const SheetPaper = desk.screen((d) => d.SheetPaper);

const Audit = office.screen((o) => o.Audit);
const Devices = office.screen((o) => o.Devices);
const Office = office.screen((o) => o.Office);
const People = office.screen((o) => o.People);
const PersonAccount = office.screen((o) => o.PersonAccount);

function officeOf(part: string | undefined, id: string | undefined): ComponentType {
  switch (part) {
    case undefined: return Office;
    case "audit": return Audit;
    case "devices": return Devices;
    case "people": return id ? PersonAccount : People;
  }
  return Lost;
}

/** Reads what shows an address, where that is in a file of its own, so that the screen comes whole; never rejects. */
export function readScreen(parts: readonly string[]): Promise<void> {
  return readers.get(viewOf(parts))?.() ?? Promise.resolve();
}

/** Screens in a file of their own, read when they are wanted. */
function later<M>(read: () => Promise<M>) {
  const here = signal<M | null>(null);
  let reading: Promise<void> | null = null;
  const fetched = (): Promise<void> => {
    reading ??= read().then(
      (m) => void (here.value = m),
      () => void (reading = null), // asked for once more when such a screen is opened again
    );
    return reading;
  };
  const screen = (of: (m: M) => ComponentType, lost?: () => void): ComponentType => {
    const Later = () => {
      const View = here.value && of(here.value);
      const [missing, setMissing] = useState(false);
      useEffect(() => {
        let gone = false;
        void fetched().then(() => {
          if (gone || here.peek()) return;
          setMissing(true);
          lost?.();
        });
        return () => { gone = true; };
      }, []);
      if (View) return <View />;
      return missing ? <Stop>{text.screenMissing}</Stop> : <p class="shell-reading">{text.reading}</p>;
    };
    readers.set(Later, fetched);
    return Later;
  };
  return { fetched, screen };
}

/** Reads the screens of the desk unless that was done; never rejects. */
export const readDesk = desk.fetched;

function Lost() {
  return (
    <Screen title={text.lostTitle}>
      <EmptyState title={text.lostTitle} action={<Button kind="primary" href="/">{text.backTo(text.todayTitle)}</Button>}>
        <p>{text.lost}</p>
      </EmptyState>
    </Screen>
  );
}
