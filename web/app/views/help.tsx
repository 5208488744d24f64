import { guide } from "../generated/guide";
import { Button, EmptyState, SafeHTML, Screen } from "../parts";
import { route } from "../router";
import { textHelp } from "../text-help";
import "./help.css";

/** The guide, rendered when the program was built: its index, or one page of it. */
export function Help() {
  const id = route.value.parts[1] ?? "";
  const page = guide[id];
  const index = { href: "/help", label: textHelp.back };
  if (!page) {
    return (
      <Screen title={textHelp.title} back={index}>
        <EmptyState title={textHelp.missing} action={<Button kind="primary" href="/help">{textHelp.back}</Button>} />
      </Screen>
    );
  }
  return (
    <Screen title={page.title} {...(id && { back: index })}>
      <div class={id ? "help" : "help help-index"}><SafeHTML html={page.html} /></div>
      {id && <div><Button icon="back" href="/help">{textHelp.back}</Button></div>}
    </Screen>
  );
}
