import type { Case } from "../generated/types";
import { Button, dayInWords, EmptyState, Screen, Tabs } from "../parts";
import { route } from "../router";
import { docsOf, type Doc } from "../state";
import { text } from "../text";
import { textList } from "../text-list";
import "./list.css";
import { ListBrief } from "./listbrief";
import { ListOrder } from "./listreorder";
import { ListSetup } from "./listsetup";
import { useListSheets } from "./listsheets";
import { inPlace } from "./listorder";

const faces = ["setup", "brief", "order"] as const;
const icons = { setup: "tray", brief: "aloud", order: "today" } as const;

/** What concerns a whole list: everything it needs, the brief before it begins, and its order. */
export function ListView() {
  const [, day = "", asked] = route.value.parts;
  const face = faces.find((f) => f === asked) ?? "setup";
  const cases = casesOn(day);
  const back = { href: `/?list=${day}`, label: text.todayTitle };
  if (cases.length === 0) {
    return (
      <Screen title={textList.title} back={back}>
        <EmptyState title={textList.none} help="scrub-nurse" action={<Button href="/">{text.backTo(text.todayTitle)}</Button>} />
      </Screen>
    );
  }
  return (
    <Screen title={textList.listOf(dayInWords(day))} back={back} wide>
      <Tabs big label={textList.facesLabel} current={face} tabs={faces.map((f) => ({ key: f, label: textList.faces[f], href: `/list/${day}/${f}`, icon: icons[f] }))} />
      {face === "order" ? <ListOrder day={day} cases={cases} /> : <FromSheets face={face} cases={cases} />}
    </Screen>
  );
}

function FromSheets({ face, cases }: { face: "setup" | "brief"; cases: readonly Doc<Case>[] }) {
  const sheets = useListSheets(cases);
  return face === "setup" ? <ListSetup sheets={sheets} /> : <ListBrief sheets={sheets} />;
}

function casesOn(day: string): Doc<Case>[] {
  const here = docsOf<Case>("case").filter((c) => c.body.list === day && !c.body.removed);
  const placed = inPlace(here.map((c) => ({ id: c.id, position: c.body.position })));
  return placed.map((p) => here.find((c) => c.id === p.id)!);
}
