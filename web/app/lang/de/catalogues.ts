// Every catalogue of the client beside its German.

import { text } from "../../text";
import { textAloud } from "../../text-aloud";
import { textCase } from "../../text-case";
import { textChange } from "../../text-change";
import { textCompare } from "../../text-compare";
import { textDevice } from "../../text-device";
import { textDoor } from "../../text-door";
import { textDrawing } from "../../text-drawing";
import { textHelp } from "../../text-help";
import { textLanguage } from "../../text-language";
import { textList } from "../../text-list";
import { textOffice } from "../../text-office";
import { textPaper } from "../../text-paper";
import { textPin } from "../../text-pin";
import { textProposals } from "../../text-proposals";
import { textUnit } from "../../text-unit";
import { text as general } from "./text";
import { textAloud as aloud } from "./text-aloud";
import { textCase as work } from "./text-case";
import { textChange as change } from "./text-change";
import { textCompare as compare } from "./text-compare";
import { textDevice as device } from "./text-device";
import { textDoor as door } from "./text-door";
import { textDrawing as drawing } from "./text-drawing";
import { textHelp as help } from "./text-help";
import { textLanguage as language } from "./text-language";
import { textList as list } from "./text-list";
import { textOffice as office } from "./text-office";
import { textPaper as paper } from "./text-paper";
import { textPin as pin } from "./text-pin";
import { textProposals as proposals } from "./text-proposals";
import { textUnit as unit } from "./text-unit";

export interface Catalogue {
  name: string;
  english: object;
  german: object;
}

export const catalogues: readonly Catalogue[] = [
  { name: "text", english: text, german: general },
  { name: "textAloud", english: textAloud, german: aloud },
  { name: "textCase", english: textCase, german: work },
  { name: "textChange", english: textChange, german: change },
  { name: "textCompare", english: textCompare, german: compare },
  { name: "textDevice", english: textDevice, german: device },
  { name: "textDoor", english: textDoor, german: door },
  { name: "textDrawing", english: textDrawing, german: drawing },
  { name: "textHelp", english: textHelp, german: help },
  { name: "textLanguage", english: textLanguage, german: language },
  { name: "textList", english: textList, german: list },
  { name: "textOffice", english: textOffice, german: office },
  { name: "textPaper", english: textPaper, german: paper },
  { name: "textPin", english: textPin, german: pin },
  { name: "textProposals", english: textProposals, german: proposals },
  { name: "textUnit", english: textUnit, german: unit },
];
