import type { ComponentChildren } from "preact";
import { Icon, type IconName } from "./icon";
import { Link } from "./link";
import "./tabs.css";

export interface Tab {
  key: string;
  label: string;
  href: string;
  icon?: IconName;
  /** A short count or state after the label, such as "3 of 14". */
  note?: ComponentChildren;
}

/** Links between the faces of one thing; each has an address of its own, so going back works. */
export function Tabs({ label, tabs, current, big }: { label: string; tabs: readonly Tab[]; current: string; big?: boolean }) {
  return (
    <nav class={big ? "tabs tabs-big" : "tabs"} aria-label={label}>
      {tabs.map((t) => (
        <Link key={t.key} href={t.href} class="tab" current={t.key === current}>
          {t.icon && <Icon name={t.icon} />}
          <span>{t.label}</span>
          {t.note && <span class="tab-note">{t.note}</span>}
        </Link>
      ))}
    </nav>
  );
}
