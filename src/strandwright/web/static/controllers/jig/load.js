/** Under load: even out, stretch, settle. The caution stands before the act, always. */
import { useEffect } from "preact/hooks";

import { html } from "../../lib/dom.js";
import { announce } from "../../models/shell.js";
import { click } from "../../models/sound.js";
import * as watched from "../../models/watch_draft.js";
import { clockText, hour, lasted, useNow } from "./clock.js";
import { Door, Hear, useEar } from "./ear.js";
import { useNoted } from "./noted.js";
import { ActForm, ActZone, Stand } from "./parts.js";
import { Watch } from "./watch.js";

const SECONDS = { s: 1, min: 60, h: 3600 };

/** The load and the time a step asks for: "300 lbf for 30 min". */
function asked({ ask, headline, dwell_s }) {
  const [, load, number, unit] = /^(.*?)(?: for ([\d.]+) (s|min|h))?$/.exec(headline ?? "") ?? [];
  return {
    load: ask?.load_text || load || "",
    dwell: 1000 * (ask?.dwell_s ?? dwell_s ?? (number ? Number(number) * SECONDS[unit] : 0)),
  };
}

export function Load({ id, step, act, advice }) {
  const { load: wanted, dwell } = asked(act);
  const ear = useEar(id, step);
  const [began, note] = useNoted(`dwell/${id}/${step.id}`, "");
  const [heard, noteHeard] = useNoted(`heard/${id}/${step.id}`, "");
  if (began === undefined || heard === undefined) return null;
  const load = heard || wanted;
  const stand = html`<${Stand} title=${act.title} caution=${act.caution} huge=${act.headline} lines=${act.lines} />`;
  if (dwell > 0 && !began) {
    return html`${stand}
      <${Hear} ear=${ear} used=${heard} onUse=${noteHeard} where="goes in with this step." /><${Door} ear=${ear} />
      <${ActZone} text=${`It stands at ${load}: start the clock`} onAct=${() => note(new Date().toISOString())} />`;
  }
  if (dwell > 0) {
    return html`<${Dwell} id=${id} step=${step} act=${act} advice=${advice} load=${load} dwell=${dwell} began=${began} ear=${ear}
      note=${note} onSent=${() => noteHeard("")} />`;
  }
  const text = step.key === "even" ? `Evened out at ${load}` : `Held at ${load}, and let down`;
  return html`<${ActForm} build=${id} step=${step} text=${text} before=${stand} fields=${fieldsOf(load)} ear=${ear}
    onHeard=${noteHeard} onSent=${() => noteHeard("")}
    pairsOf=${(typed) => [["step-done", { step: step.id, ...typed }]]} />`;
}

const fieldsOf = (load) => [
  { name: "load", label: "Load, where it was another", value: load },
  { name: "temperature", label: "Temperature", value: "", hint: "66 degF, 19 degC" },
];

function Dwell({ id, step, act, advice, load, dwell, began, ear, note, onSent }) {
  const now = useNow();
  const gone = now - Date.parse(began);
  const left = dwell - gone;
  const over = left <= 0;
  useEffect(() => {
    if (!over) return;
    announce("The time is up: let down");
    click("soon");
  }, [over]);
  const until = hour(Date.parse(began) + dwell);
  // A line that stands under load lets go of some of it: what is heard now is for the watch.
  const hear = (entry, byItself) => {
    if (!byItself || watched.isHeard.value || !watched.load.value.trim()) watched.putHeard(entry);
  };
  return html`<${ActForm} build=${id} step=${step} fields=${fieldsOf(load)}
    text=${over ? `Let down, after ${lasted(gone)}` : `Let down early, after ${lasted(gone)}`}
    pairsOf=${(typed) => [["step-done", { step: step.id, dwell: lasted(Date.now() - Date.parse(began)), ...typed }]]}
    onSent=${() => { note(""); onSent(); }}
    aside=${html`<${Watch} id=${id} step=${step} advice=${advice} began=${began} />`}
    before=${html`<${Stand} title=${over ? "The time is up: let down" : act.title} caution=${act.caution}
      huge=${over ? "0:00" : clockText(left)} under=${`at ${load} since ${hour(began)}, until ${until}`} lines=${act.lines}>
      <p class="jig-sides"><button class="act" type="button" onClick=${() => note("")}>The clock was started too soon: begin again</button></p><${Door} ear=${ear} /><//>
      <${Hear} ear=${ear} used=${watched.isHeard.value ? watched.load.value : ""} onUse=${hear} where="stands at the watch, to be noted there." />`} />`;
}
