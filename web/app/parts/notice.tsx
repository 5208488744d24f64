import type { ComponentChildren } from "preact";
import { text } from "../text";
import { textHelp } from "../text-help";
import { Icon, type IconName, Mark } from "./icon";
import "./notice.css";

interface NoticeProps {
  children: ComponentChildren;
  /** The word beside the shape, when another than the usual one fits. */
  word?: string;
  /** Where it comes from: usually a Why. */
  why?: ComponentChildren;
}

/** Something to mind. A triangle and a word, never colour alone. */
export function Caution({ children, word = text.caution, why }: NoticeProps) {
  return <Notice kind="caution" icon="caution" word={word} why={why}>{children}</Notice>;
}

/** Something that must be answered before going on. An octagon and a word. */
export function Stop({ children, word = text.stop, why }: NoticeProps) {
  return <Notice kind="stop" icon="stop" word={word} why={why}>{children}</Notice>;
}

/** Something worth knowing that is no caution. */
export function Note({ children, word, why }: NoticeProps) {
  return <Notice kind="note" icon="about" word={word} why={why}>{children}</Notice>;
}

function Notice({ kind, icon, word, why, children }: Omit<NoticeProps, "word"> & { word?: string | undefined; kind: string; icon: IconName }) {
  return (
    <div class={`notice notice-${kind}`}>
      <span class="notice-shape"><Icon name={icon} large /></span>
      <div class="notice-words">
        <p>{word && <strong class="notice-word">{word}. </strong>}{children}</p>
        {why}
      </div>
    </div>
  );
}

type TagKind = "plain" | "accent" | "caution" | "stop" | "ok" | "notknown";

/** A short word about a thing. */
export function Tag({ children, kind = "plain", icon }: { children: ComponentChildren; kind?: TagKind; icon?: IconName }) {
  const shape = icon ?? shapes[kind];
  return <span class={`tag tag-${kind}`}>{shape && <Icon name={shape} />}<span>{children}</span></span>;
}

const shapes: Partial<Record<TagKind, IconName>> = { caution: "caution", stop: "stop", notknown: "question", ok: "tick" };

interface EmptyProps {
  title: string;
  children?: ComponentChildren;
  action?: ComponentChildren;
  /** The page of the guide that says how this screen comes to be filled. */
  help?: string;
}

/** What a screen says when there is nothing to show, and what to do about it. */
export function EmptyState({ title, children, action, help }: EmptyProps) {
  return (
    <div class="empty">
      <Mark />
      <h2>{title}</h2>
      {children && <div class="empty-words">{children}</div>}
      {action}
      {help && <a class="empty-help" href={`/help/${help}`}>{textHelp.forScreen}</a>}
    </div>
  );
}

/** What stops something from being kept, one line each. */
export function ProblemList({ problems, title = text.problemsTitle }: { problems: readonly { level?: string; text: string; source?: string | undefined }[]; title?: string }) {
  if (problems.length === 0) return null;
  return (
    <div class="notice notice-stop" role="alert">
      <span class="notice-shape"><Icon name="stop" large /></span>
      <div class="notice-words">
        <p><strong>{title}</strong></p>
        <ul>{problems.map((p) => <li key={p.text}>{p.text}</li>)}</ul>
      </div>
    </div>
  );
}
