import type { ComponentType, RefObject } from "preact";
import { useEffect, useMemo, useRef } from "preact/hooks";
import { AgeOfData, Button, Caution, heading, hoursSince, Icon, type IconName, Link, Mark, Stop, Toasts } from "../parts";
import { allowed } from "../local/may";
import { languageMissing } from "../lang/language";
import { route } from "../router";
import { asking, docsOf, enrolled, forked, known, look, me, revoked, session, setLook, setup, status, takeUpdate, toRead, unlocked, type Unit } from "../state";
import { text } from "../text";
import { textAloud } from "../text-aloud";
import { textDevice } from "../text-device";
import { textHelp } from "../text-help";
import { textLanguage } from "../text-language";
import "../theme.css";
import { changing } from "./changing";
import { EnrolView } from "./enrol";
import { nameOf } from "./people";
import { PrintLine } from "./print";
import { ChangeValue, PinDialog, viewOf } from "./screens";
import { SetUpView } from "./setupunit";
import "./shell.css";

/** Above this age the state line is no longer quiet. */
const staleHours = 24;

/** The frame around every screen: where am I, how old is this, where else can I go. */
export function App() {
  const { path } = route.value;
  const whole = !firstReading();
  useLook();
  useHeadingFocus(path, whole);
  if (whole) return <Whole />;
  return <main><p class="shell-reading" role="status">{text.readingFirst}</p></main>;
}

/**
 * Nothing was read yet, and the server is being asked, which is not for long: its answer decides which screen there is
 * and what stands above it. What was shown before that would move away under the finger.
 */
function firstReading(): boolean {
  const s = status.value;
  return s.asOf === null && s.server === "not tried" && s.storage === "ok" && !setup.value && !revoked.value;
}

function Whole() {
  const { path, parts } = route.value;
  const shut = parts[0] === "about" ? null : door();
  const View = shut ?? viewOf(parts);
  // What is around the screen reads its own signals, and is not drawn again because another drill was opened.
  const bar = useMemo(() => <TopBar />, []);
  const [first, second] = parts;
  const menu = useMemo(() => <Menu parts={parts} />, [first, second]);
  const toasts = useMemo(() => <Toasts />, []);
  return (
    <div class="shell">
      <a class="skip" href="#content">{text.skip}</a>
      {bar}
      <main id="content" tabIndex={-1}>
        {!shut && <Notices atWork={atWork(parts)} />}
        <View key={shut ? "door" : keyOf(path, parts)} />
        <footer class="shell-foot">
          <p>{text.foot}</p>
          {!shut && <Link href="/rules">{text.footRules}</Link>}
          {!shut && <Link href="/reckon">{text.footReckon}</Link>}
          {!shut && <Link href="/help">{textHelp.title}</Link>}
          <Link href="/about">{text.aboutTitle}</Link>
          {allowed(session.value?.roles ?? [], "office") && <Link href="/office">{text.footOffice}</Link>}
        </footer>
      </main>
      <PrintLine parts={parts} />
      {!shut && menu}
      {changing.value && <ChangeValue />}
      {asking.value && <PinDialog />}
      {toasts}
    </div>
  );
}

/** What stands in the way of every screen: this device was not let in yet, or not any more. What was read before stays readable. */
function door(): ComponentType | null {
  if (setup.value) return SetUpView;
  if (revoked.value) return EnrolView;
  return enrolled.value || status.value.asOf ? null : EnrolView;
}

/** Screens with several faces stay as they are while somebody goes from one to the other. */
function keyOf(path: string, [first]: readonly string[]): string {
  return first === "sheet" || first === "rules" ? first : path;
}

/** While a case is worked on or something is written, nothing may change under the hands. */
function atWork([first, id, face]: readonly string[]): boolean {
  return first === "sheet" || first === "case" || first === "rules" || id === "new" || face === "edit";
}

function useLook(): void {
  useEffect(() => {
    document.documentElement.dataset.look = look.value;
    const ground = getComputedStyle(document.documentElement).getPropertyValue("--ground").trim();
    document.querySelector('meta[name="theme-color"]')?.setAttribute("content", ground);
  }, [look.value]);
}

/** After a move to another screen the focus is at its name, so that keyboard and screen reader start there. */
function useHeadingFocus(path: string, whole: boolean): void {
  const first = useRef(true);
  useEffect(() => {
    if (!whole) return;
    if (first.current) {
      first.current = false;
      return;
    }
    const frame = requestAnimationFrame(() => {
      if (document.activeElement?.matches("main :is(input, textarea, h2, h3)")) return; // somebody types already, or the screen itself says where to begin
      document.getElementById("heading")?.focus({ preventScroll: true });
    });
    return () => cancelAnimationFrame(frame);
  }, [path, whole]);
}

/** Tells what sticks below the bar how far down that is; nothing when the bar scrolls away. */
function useBarBottom(bar: RefObject<HTMLElement>): void {
  useEffect(() => {
    const el = bar.current;
    if (!el) return;
    const tell = () => {
      const bottom = getComputedStyle(el).position === "sticky" ? el.offsetHeight : 0;
      document.documentElement.style.setProperty("--bar-bottom", `${bottom}px`);
    };
    const watch = new ResizeObserver(tell);
    watch.observe(el);
    addEventListener("resize", tell);
    return () => {
      watch.disconnect();
      removeEventListener("resize", tell);
    };
  }, []);
}

function TopBar() {
  const bar = useRef<HTMLElement>(null);
  useBarBottom(bar);
  const { title, back } = heading.value;
  const dim = look.value === "dim";
  return (
    <header class="top" ref={bar}>
      {status.value.demo || unitIsDemo() ? <p class="top-demo">{text.demo}</p> : null}
      <div class="top-row">
        {back
          ? <Link href={back.href} class="top-back" label={text.backTo(back.label)}><Icon name="back" /></Link>
          : <Link href="/" class="top-back" label={text.home}><Mark /></Link>}
        <h1 id="heading" tabIndex={-1}>{title || text.name}</h1>
        <StateLine />
        <Button kind="quiet" icon={dim ? "sun" : "moon"} label={dim ? text.toBright : text.toDim}
          onClick={() => setLook(dim ? "bright" : "dim")} />
      </div>
    </header>
  );
}

function unitIsDemo(): boolean {
  return docsOf<Unit>("unit").some((u) => u.body.demo);
}

/** Always there, quiet while all is well: how old the data is, what waits, whether the server was reached. */
function StateLine() {
  const s = status.value;
  const unread = toRead.value.length;
  return (
    <div class="state">
      <p class="hidden-visually" role="status" aria-live="polite">{spokenState()}</p>
      <Link href="/waiting" class={loud() ? "state-line state-loud" : "state-line"}>
        <span class="hidden-visually">{text.stateLine}:</span>
        <span>{loud() && <Icon name="caution" />} <AgeOfData at={s.asOf} /></span>
        {s.waiting > 0 && <span><Icon name="waiting" /> {text.editsWaiting(s.waiting)}</span>}
        {s.server === "not reached" && <span><Icon name="nonetwork" /> {text.noNetwork}</span>}
        {unread > 0 && <span><Icon name="question" /> {text.answersToRead(unread)}</span>}
        {me.value !== null && <span class="state-who"><Icon name="person" /> {who(me.value)}</span>}
      </Link>
    </div>
  );
}

/** Who is at this device, and whether a change asks for the PIN first. */
function who(person: string): string {
  return unlocked.value ? nameOf(person) : text.lockedAs(nameOf(person));
}

/** What is said aloud when it changes. The age changes all the time and is only read. */
function spokenState(): string {
  const s = status.value;
  const network = s.server === "not reached" ? text.noNetwork : "";
  const locked = me.value !== null && !unlocked.value ? text.lockedAs(nameOf(me.value)) : "";
  return [s.waiting > 0 && text.editsWaiting(s.waiting), network, locked].filter(Boolean).join(", ");
}

function staleFor(): number {
  const { asOf } = status.value;
  const hours = asOf ? hoursSince(asOf) : 0;
  return hours >= staleHours ? hours : 0;
}

function loud(): boolean {
  const s = status.value;
  return staleFor() > 0 || s.storage === "blocked" || s.core === "failed" || s.readonly || s.damaged.length > 0 || s.headDiffers || languageMissing.value || toEnrol() !== null;
}

/** Why a device that holds what it read has to be let in again; null: it need not. */
function toEnrol(): string | null {
  if (forked.value) return text.enrolForked;
  return known.value && enrolled.value ? null : text.enrolAgain;
}

function Notices({ atWork }: { atWork: boolean }) {
  const s = status.value;
  const hours = staleFor();
  const offer = s.update && !atWork;
  const enrol = toEnrol();
  if (!loud() && !offer) return null;
  return (
    <div class="shell-notices">
      {s.storage === "blocked" && <Stop>{s.storageText ?? text.storageBlocked}</Stop>}
      {s.core === "failed" && <Caution>{text.coreFailed}</Caution>}
      {hours > 0 && <Caution>{text.stale(hours)}</Caution>}
      {s.readonly && <Caution>{text.readonly}</Caution>}
      {s.damaged.length > 0 && <Caution>{[textDevice.damaged, ...s.damaged].join(" ")}</Caution>}
      {s.headDiffers && <Caution>{text.headDiffers}</Caution>}
      {languageMissing.value && <Caution>{textLanguage.missing}</Caution>}
      {enrol !== null && (
        <div class="panel row-apart">
          <Caution>{enrol}</Caution>
          <Button href="/enrol">{text.enrolGo}</Button>
        </div>
      )}
      {offer && (
        <div class="panel row-apart">
          <p>{text.updateReady}</p>
          <Button kind="primary" onClick={() => void takeUpdate()}>{text.updateTake}</Button>
        </div>
      )}
    </div>
  );
}

function Menu({ parts }: { parts: readonly string[] }) {
  const first = parts[0] ?? "";
  const who = me.value;
  const atToday = first === "" || first === "case" || first === "sheet";
  return (
    <nav class="menu" aria-label={text.mainMenu}>
      <MenuItem href="/" icon="today" current={atToday}>{text.navToday}</MenuItem>
      <MenuItem href="/cards" icon="cards" current={first === "cards"}>{text.navCards}</MenuItem>
      <MenuItem href={first === "sheet" && parts[1] ? `/sheet/${parts[1]}/if` : "/if"} icon="branch" current={first === "if"}>{textAloud.ifs.menu}</MenuItem>
      <MenuItem href="/waiting" icon="waiting" current={first === "waiting"} count={status.value.waiting}>{text.navWaiting}</MenuItem>
      <MenuItem href="/person" icon="person" current={first === "person"} short={who ? text.navPerson : text.nobody}>{who ? nameOf(who) : text.nobody}</MenuItem>
    </nav>
  );
}

interface MenuItemProps {
  href: string;
  icon: IconName;
  current: boolean;
  count?: number;
  /** What stands there where the screen is narrow and the words are a name. */
  short?: string;
  children: string;
}

function MenuItem({ href, icon, current, count = 0, short, children }: MenuItemProps) {
  return (
    <Link href={href} class="menu-item" current={current}>
      <Icon name={icon} />
      <span class={short ? "menu-word menu-name" : "menu-word"}>{children}</span>
      {short && <span class="menu-word menu-short">{short}</span>}
      {count > 0 && <span class="menu-count">{count}</span>}
    </Link>
  );
}
