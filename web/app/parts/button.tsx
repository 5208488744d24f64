import type { ComponentChildren } from "preact";
import "./button.css";
import { Icon, type IconName } from "./icon";

export type ButtonKind = "primary" | "plain" | "quiet" | "danger";

interface ButtonProps {
  kind?: ButtonKind;
  /** Theatre size, at least 78 px high. */
  big?: boolean;
  /** As wide as its container. */
  wide?: boolean;
  icon?: IconName;
  /** Makes it a link to another screen that looks like a button. */
  href?: string;
  onClick?: () => void;
  submit?: boolean;
  disabled?: boolean;
  /** True while the work it started is under way; further presses do nothing. */
  busy?: boolean;
  /** For a button that shows only an icon. */
  label?: string;
  /** For a button that opens or closes something. */
  expanded?: boolean;
  pressed?: boolean;
  children?: ComponentChildren;
}

/** A button, or a link that looks like one. Kinds: primary (one a screen), plain, quiet, danger. */
export function Button(props: ButtonProps) {
  const { kind = "plain", big, wide, icon, href, label, busy, children } = props;
  const names = ["button", `button-${kind}`, big && "button-big", wide && "button-wide", !children && "button-icon"];
  const className = names.filter(Boolean).join(" ");
  const inside = (
    <>
      {icon && <Icon name={icon} />}
      {children && <span>{children}</span>}
    </>
  );
  if (href) return <a class={className} href={href} aria-label={label}>{inside}</a>;
  return (
    <button type={props.submit ? "submit" : "button"} class={className} aria-label={label} aria-busy={busy || undefined}
      aria-expanded={props.expanded} aria-pressed={props.pressed} disabled={props.disabled}
      onClick={() => { if (!busy) props.onClick?.(); }}>
      {inside}
    </button>
  );
}
