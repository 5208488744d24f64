import { useState } from "preact/hooks";
import type { Card, Technique } from "../../generated/types";
import { choices } from "../../generated/vocabulary";
import { Button, Screen, TextField } from "../../parts";
import { route } from "../../router";
import { doc, docsOf, me, type Person } from "../../state";
import { text } from "../../text";
import { textCase } from "../../text-case";
import { textProposals } from "../../text-proposals";
import { nameOf } from "../people";
import { Pick, Select } from "./fields";
import { newKey } from "./keys";

const words = textCase.edit;

/** How a new card begins: empty, without a single limit, or as a copy that says so. */
export function NewCard({ onStart }: { onStart: (card: Card, copied: Card | null) => void }) {
  const surgeons = docsOf<Person>("person").filter((p) => p.body.roles.includes("surgeon")).map((p) => ({ value: p.id, label: p.body.name }));
  const [from, setFrom] = useState(route.peek().query.get("from") ?? "");
  const copied = doc<Card>("card", from)?.body ?? null;
  const [title, setTitle] = useState(copied?.title ?? "");
  const [technique, setTechnique] = useState<Technique | undefined>(copied?.technique);
  // A card begins in the own name: what somebody writes in another's is not theirs to start.
  const owner = surgeons.find((s) => s.value === me.value)?.value ?? "";
  const choose = (id: string) => {
    setFrom(id);
    const c = doc<Card>("card", id)?.body;
    if (c && title === "") setTitle(c.title);
    if (c) setTechnique(c.technique);
  };
  const ready = title.trim() !== "" && technique !== undefined && owner !== "";
  const start = () => {
    if (technique === undefined) return;
    const id = newKey(`${owner} ${title}`, docsOf("card").map((d) => d.id));
    const own = { id, title: title.trim(), technique, owner };
    onStart(copied ? copyOf(copied, own) : { ...own, basics: basicsOf(owner), machine: {} }, copied);
  };
  return (
    <Screen title={words.titleNew} back={{ href: "/cards", label: text.cardsTitle }}
      foot={<Button kind="primary" wide disabled={!ready} onClick={start}>{copied ? words.startCopy : words.startEmpty}</Button>}>
      <p>{words.newLead}</p>
      <TextField label={words.cardTitle} hint={words.titleHint} value={title} onChange={setTitle} maxLength={120} />
      <Pick needed label={words.technique} options={choices.technique} value={technique} onChange={setTechnique} />
      <p>{surgeons.length === 0 ? words.noSurgeon : owner ? textProposals.ownNew(nameOf(owner)) : textProposals.newInOwnName}</p>
      <Select label={words.startCopy} value={from} none={words.startEmpty} onChange={choose}
        options={docsOf<Card>("card").map((d) => ({ value: d.id, label: d.body.title, group: nameOf(d.body.owner) }))} />
    </Screen>
  );
}

/** What is the surgeon's own whatever the technique: from the card of theirs that was changed last, never from a colleague's. */
function basicsOf(owner: string): Card["basics"] {
  const own = docsOf<Card>("card").filter((d) => d.body.owner === owner).sort((a, b) => b.seq - a.seq);
  return structuredClone(own[0]?.body.basics ?? {});
}

/** The copied card under its own name. When it is looked at again is for the new owner to say. */
function copyOf(card: Card, own: Identity): Card {
  const { review: _, technique_name, ...rest } = structuredClone(card);
  const basics = card.owner === own.owner ? card.basics : basicsOf(own.owner);
  return { ...rest, ...own, basics, ...(own.technique === "unit's own" && technique_name ? { technique_name } : {}) };
}

type Identity = { id: string; title: string; technique: Technique; owner: string };
