/** A known load on the line while it is heard: what the jig's ear is checked against, kept with the bench. */
import { useState } from "preact/hooks";

import { html, plusMinus as set, Value } from "../../lib/dom.js";
import { outbox } from "../../models/bench_outbox.js";
import { announce } from "../../models/shell.js";

/** @param {{ear: import("../../models/ear.js").Ear}} props */
export function Check({ ear }) {
  const [known, setKnown] = useState("");
  const [said, setSaid] = useState("");
  const entry = ear.entry.value;
  if (entry === "") return null;
  const keep = async () => {
    if (!known.trim()) return setSaid("Type the known load: it hangs on the line, or a gauge shows it.");
    setSaid("");
    await outbox.act(["ear-checked", { step: ear.step, heard: ear.checkEntry.value, true: known.trim() }]);
    setKnown("");
    announce("Kept with the bench");
  };
  return html`
    <details class="ear-facts ear-check"><summary>Check against a known load</summary>
      <p>A weight hangs on this line, or a load gauge shows its load, while <${Value} text=${set(entry)} /> is heard.
        Kept with the bench, it makes what is heard here surer: most for this line, a little for the next.</p>
      <div class="field" data-wrong=${said ? "" : null}>
        <label for="ear-known">The known load</label>
        <input id="ear-known" value=${known} autocomplete="off" autocapitalize="off" spellcheck=${false}
          aria-invalid=${said ? "true" : null} aria-describedby="ear-known-said"
          onInput=${(e) => setKnown(e.currentTarget.value)} />
        <p id="ear-known-said" class=${said ? "wrong" : "hint"}>${said || "such as 100 lbf ± 1, or 45 kg hung as 441 N"}</p>
      </div>
      <p class="jig-sides"><button class="act" type="button" onClick=${keep}>Keep this check</button></p>
    </details>`;
}
