import { useState } from "preact/hooks";
import { Button, Icon, Limits, Screen } from "../parts";
import { allowed } from "../local/may";
import { session, status } from "../state";
import { text } from "../text";
import { textHelp } from "../text-help";
import { textOffice } from "../text-office";
import "./about.css";
import { LanguageChoice } from "./language";
import { parts } from "./madewith";
import { leadNames } from "./office/leads";

/** What this program is for, what it is not, which version runs and what it is made with. */
export function About() {
  return (
    <Screen title={text.aboutTitle}>
      <section class="stack-close">
        <h2>{text.aboutFor}</h2>
        <p>{text.aboutForText}</p>
        <div><Button icon="about" href="/help">{textHelp.about}</Button></div>
      </section>
      <section class="stack-close">
        <h2>{text.aboutNot}</h2>
        <ul class="about-list">{text.aboutNotList.map((t) => <li key={t}>{t}</li>)}</ul>
      </section>
      <section class="stack-close">
        <h2 class="about-mind"><Icon name="caution" label={text.caution} /> {text.aboutMind}</h2>
        <ul class="about-list">{text.aboutMindList.map((t) => <li key={t}>{t}</li>)}</ul>
      </section>
      <LanguageChoice />
      <ToOffice />
      <section class="stack-close">
        <h2>{text.aboutVersion}</h2>
        <Limits values={[
          { id: "page", label: text.aboutBuild, value: pageBuild() },
          { id: "core", label: text.stateCore, value: text.coreStates[status.value.core] ?? "" },
        ]} />
      </section>
      <section class="stack-close">
        <h2>{text.aboutParts}</h2>
        <p class="quiet">{text.aboutPartsLead}</p>
        <table class="about-parts">
          <thead>
            <tr><th scope="col">{text.aboutPartUse.name}</th><th scope="col">{text.aboutPartUse.licence}</th></tr>
          </thead>
          <tbody>
            {parts.map((p) => <tr key={p.name}><th scope="row" translate={false}>{p.name}</th><td translate={false}>{p.licence}</td></tr>)}
          </tbody>
        </table>
        <Licences />
        <p><a class="about-file" href="/licences.txt" target="_blank" rel="noopener">{text.aboutLicencesFile}</a></p>
      </section>
    </Screen>
  );
}

/** The way to the unit lead's screens; whoever is none reads whose they are. */
function ToOffice() {
  const lead = allowed(session.value?.roles ?? [], "office");
  return (
    <section class="stack-close" aria-labelledby="office">
      <h2 id="office">{textOffice.aboutHead}</h2>
      {lead
        ? <><p>{textOffice.aboutLead}</p><div><Button href="/office">{textOffice.title}</Button></div></>
        : <p>{textOffice.aboutOthers(leadNames())}</p>}
    </section>
  );
}

/** The full texts, read when asked for; they are on the device like the rest of the program. */
function Licences() {
  const [words, setWords] = useState("");
  const read = (open: boolean) => {
    if (!open || words) return;
    fetch("/licences.txt").then((r) => (r.ok ? r.text() : text.aboutLicencesAway), () => text.aboutLicencesAway).then(setWords);
  };
  return (
    <details class="about-licences" onToggle={(e) => read(e.currentTarget.open)}>
      <summary>{text.aboutLicences}</summary>
      <p class="lines" lang="en-GB" translate={false}>{words}</p>
    </details>
  );
}

/** The build writes its name, a hash over everything it made, into the page. */
function pageBuild(): string {
  return document.querySelector<HTMLMetaElement>('meta[name="build"]')?.content ?? text.aboutBuildUnknown;
}
