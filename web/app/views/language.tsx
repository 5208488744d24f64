import { useState } from "preact/hooks";
import { languageMissing, languages, ownLanguage, type Language } from "../lang/language";
import { tongue } from "../lang/said";
import { Button, Caution, Note } from "../parts";
import { enrolled, setLanguage } from "../state";
import { textLanguage as words } from "../text-language";

/** The languages of the screens, each in its own words. Buttons, because the page begins again in the other one. */
export function LanguageChoice() {
  const [failed, setFailed] = useState(false);
  const own = ownLanguage();
  const choose = (l: Language) => {
    if (l !== own || languageMissing.value) setLanguage(l).catch(() => setFailed(true));
  };
  return (
    <section class="stack-close" aria-labelledby="language">
      <h2 id="language" translate={false}>{words.both}</h2>
      <div class="row">
        {(Object.keys(languages) as Language[]).map((l) => (
          <Button key={l} pressed={l === own} onClick={() => choose(l)}><span lang={l} translate={false}>{languages[l]}</span></Button>
        ))}
      </div>
      {languageMissing.value && !enrolled.value && <Caution>{words.missing}</Caution> /* once it is let in the shell says so */}
      {failed && <Caution>{words.notKept}</Caution>}
      {tongue.value.locale !== "en-GB" && <Note>{words.unread} {words.own}</Note>}
    </section>
  );
}
