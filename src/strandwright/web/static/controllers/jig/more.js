/** Beside the work: sound, light, notes, strands counted, sheets, putting the build aside. */
import { useState } from "preact/hooks";

import { html } from "../../lib/dom.js";
import { awake } from "../../models/awake.js";
import { outbox } from "../../models/bench_outbox.js";
import { chooseTheme, theme } from "../../models/shell.js";
import { canSpeak, choose, click, speak, wanted } from "../../models/sound.js";
import { Field } from "./parts.js";
import { Weigh } from "./weigh.js";

const THEMES = [["device", "as the device"], ["light", "light"], ["dark", "dark"], ["sun", "sun"]];

export function More({ id, view, advice }) {
  return html`
    <div class="jig-body jig-more">
      <h1>Beside the work</h1>
      <div class="jig-cards">
        <${Sounds} />
        <fieldset><legend>Light</legend>
          <div class="jig-sides">${THEMES.map(([value, text]) => html`
            <label class="jig-switch"><input type="radio" name="jig-light" checked=${theme.value === value}
              onChange=${() => chooseTheme(value)} /> ${text}</label>`)}</div>
          <p class="wait">${awake.value ? "The screen stays awake here." : "This browser may let the screen go dark."}</p>
        </fieldset>
        ${view.over ? null : html`<${One} name="note" label="Worth remembering" button="Note it" pair=${(text) => ["noted", { text }]}
          wrong="nothing is written here: write what is worth remembering" />
        <${One} name="strands" label="Strands counted in the skein" hint=${`planned: ${view.winding.strands}`} button="Note it"
          pair=${(text) => ["strands-counted", { strands: Number(text) }]} ok=${(text) => /^\d{1,3}$/.test(text) && Number(text) >= 2 && Number(text) <= 200}
          wrong="strands are counted whole, 2 to 200: write how many there are, such as 24" />
        <fieldset><legend>Mass</legend><${Weigh} runs=${view.winding.runs} /></fieldset>`}
        <fieldset><legend>Paper</legend>
          <p class="jig-sides">
            <a class="act" href=${`/api/builds/${id}/sheet.pdf`} target="_blank" rel="noopener">The build's sheet</a>
            <a class="act" href=${`/api/builds/${id}/log.json`} target="_blank" rel="noopener">Its log</a></p>
          <p class="wait">${advice.cautions?.defer ?? ""}</p></fieldset>
        ${view.over ? null : html`<${Aside} />`}
      </div>
    </div>`;
}

function Sounds() {
  return html`<fieldset><legend>Sound</legend>
    <label class="jig-switch"><input type="checkbox" checked=${wanted.value.click}
      onChange=${(e) => { choose("click", e.currentTarget.checked); click(); }} /> a tone for every count</label>
    <label class="jig-switch"><input type="checkbox" disabled=${!canSpeak} checked=${wanted.value.speak}
      onChange=${(e) => { choose("speak", e.currentTarget.checked); speak("One"); }} /> the count spoken${canSpeak ? "" : ": this browser cannot"}</label>
  </fieldset>`;
}

function One({ name, label, hint = "", button, pair, wrong, ok = () => true }) {
  const [value, setValue] = useState("");
  const [said, setSaid] = useState("");
  const [isWrong, setWrong] = useState(false);
  const send = async (event) => {
    event.preventDefault();
    const text = value.trim();
    setWrong(!text || !ok(text));
    if (!text || !ok(text)) return setSaid("");
    await outbox.act(pair(text));
    setValue("");
    setSaid("Noted.");
  };
  return html`<form onSubmit=${send}><fieldset><legend>${label}</legend>
    <${Field} name=${name} label=${label} value=${value} hint=${hint} wrong=${isWrong ? wrong : ""} onInput=${setValue} />
    <p class="jig-sides"><button class="act">${button}</button> <span role="status">${said}</span></p></fieldset></form>`;
}

function Aside() {
  const [sure, setSure] = useState(false);
  const [why, setWhy] = useState("");
  const aside = () => outbox.act(["put-aside", why.trim() ? { why: why.trim() } : {}]);
  return html`<fieldset><legend>Put the build aside</legend>
    ${sure ? html`<${Field} name="why" label="Why, if it is worth knowing" value=${why} onInput=${setWhy} />
      <p class="jig-sides"><button class="act jig-hard" onClick=${aside}>Yes, give this build up</button>
        <button class="act" onClick=${() => setSure(false)}>No, go on with it</button></p>`
    : html`<p class="jig-sides"><button class="act" onClick=${() => setSure(true)}>Put it aside</button></p>`}
  </fieldset>`;
}
