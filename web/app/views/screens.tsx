// Which screen an address shows. What is opened in theatre is here at once; the
// screens of the desk are read when the page is idle, or when one is opened.

import { signal } from "@preact/signals";
import type { ComponentType } from "preact";
import { Button, EmptyState, Screen, Stop } from "../parts";
import { text } from "../text";
import { CardView } from "./card";
import { Cards } from "./cards";
import { Ifs } from "./ifs";
import { SheetView } from "./sheet";
import { Today } from "./today";
import { Waiting } from "./waiting";

type Desk = typeof import("./desk");

const desk = signal<Desk | null>(null);
const missing = signal(false);
let reading: Promise<void> | null = null;

export function viewOf([first, id, face]: readonly string[]): ComponentType {
  switch (first) {
    case undefined: return Today;
    case "cards":
      if (!id) return Cards;
      if (id === "new" || face === "edit") return EditCard;
      if (face === "paper") return CardPaper;
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
  }
  return Lost;
}

const About = onDesk((d) => d.About);
const CardPaper = onDesk((d) => d.CardPaper);
const CaseForm = onDesk((d) => d.CaseForm);
const EditCard = onDesk((d) => d.EditCard);
const Help = onDesk((d) => d.Help);
const History = onDesk((d) => d.History);
const ListView = onDesk((d) => d.ListView);
const PersonView = onDesk((d) => d.PersonView);
const Proposals = onDesk((d) => d.Proposals);
const Records = onDesk((d) => d.Records);
const Reckon = onDesk((d) => d.Reckon);
const Risk = onDesk((d) => d.Risk);
const Rules = onDesk((d) => d.Rules);
const SetAside = onDesk((d) => d.SetAside);
const SheetPaper = onDesk((d) => d.SheetPaper);

function onDesk(of: (d: Desk) => ComponentType): ComponentType {
  return function OnDesk() {
    const View = desk.value && of(desk.value);
    if (View) return <View />;
    void readDesk();
    return missing.value ? <Stop>{text.screenMissing}</Stop> : <p class="shell-reading">{text.reading}</p>;
  };
}

/** Reads the screens of the desk unless that was done; never rejects. */
export function readDesk(): Promise<void> {
  reading ??= import("./desk").then(
    (d) => void (desk.value = d),
    () => {
      missing.value = true;
      reading = null; // asked for once more when such a screen is opened again
    },
  );
  return reading;
}

function Lost() {
  return (
    <Screen title={text.lostTitle}>
      <EmptyState title={text.lostTitle} action={<Button kind="primary" href="/">{text.backTo(text.todayTitle)}</Button>}>
        <p>{text.lost}</p>
      </EmptyState>
    </Screen>
  );
}
