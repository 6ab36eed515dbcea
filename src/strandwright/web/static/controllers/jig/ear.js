/** Hear the load: a door beside the step, and behind it the ear that listens to a plucked line. */
import { useEffect, useMemo, useRef } from "preact/hooks";

import { bound, counted, fractions, html, plusMinus as set, Value } from "../../lib/dom.js";
import { Ear } from "../../models/ear.js";
import { Check } from "./ear_check.js";
import { Plots } from "./ear_plots.js";
import { Scale } from "./ear_scale.js";
import { Hint, NoMicrophone, Recording, Trouble } from "./ear_troubles.js";

/** An ear for a step; it is shut, and the microphone let go, as soon as the step is left. */
export function useEar(build, step) {
  const ear = useMemo(() => new Ear(build, step.id), [build, step.id]);
  useEffect(() => () => ear.shut(), [ear]);
  return ear;
}

/** The way in, beside the step's fields. */
export function Door({ ear }) {
  const door = useRef(/** @type {HTMLElement|null} */ (null));
  const wasOpen = useRef(false);
  const isShut = ear.state.value === "shut";
  useEffect(() => {
    // Shut by hand, the ear gives the keys back to its door.
    if (isShut && wasOpen.current) door.current?.focus();
    wasOpen.current = !isShut;
  }, [isShut]);
  if (!isShut) return null;
  return html`<p class="jig-sides ear-door"><button class="act" type="button" ref=${door} onClick=${() => ear.open()}>Hear the load</button></p>`;
}

/**
 * What the ear tells while it is open.
 * @param {{ear: Ear, used: string, onUse: (entry: string, byItself: boolean) => void, where: string}} props
 *   used: the load that was put where `where` tells
 */
export function Hear({ ear, used, onUse, where }) {
  const isShut = ear.state.value === "shut";
  const entry = ear.agreed.value && ear.together.value ? ear.entry.value : "";
  useEffect(() => { if (entry !== "" && !isShut) onUse(set(entry), true); }, [entry]);
  return isShut ? null : html`<${Gauge} ear=${ear} used=${used} onUse=${onUse} where=${where} />`;
}

function Gauge({ ear, used, onUse, where }) {
  const head = useRef(/** @type {HTMLElement|null} */ (null));
  const expected = ear.expected.value;
  useEffect(() => head.current?.focus({ preventScroll: true }), []);
  // Once more when there is enough under it to come to the top.
  useEffect(() => head.current?.scrollIntoView({ block: "start" }), [expected, ear.state.value]);
  const shut = (event) => {
    if (event.key !== "Escape") return;
    event.preventDefault();
    ear.shut();
  };
  const deaf = ear.state.value === "none";
  return html`
    <section class="ear" aria-labelledby="ear-head" onKeyDown=${shut} data-state=${ear.state.value}>
      <header class="ear-head"><h2 id="ear-head" tabindex="-1" ref=${head}>Hear the load</h2>
        <p class="wait">${expected?.expected_text ? bound(set(expected.expected_text)) : ""}</p>
        <button class="act" type="button" onClick=${() => ear.shut()}>${deaf ? "Close" : "Stop listening"}</button></header>
      <p class="jig-caution" role="note"><strong>Caution.</strong> Stand off the line's axis, never lean over it to
        pluck it or to hold the microphone, and pluck it gently, with a fingertip.</p>
      ${expected?.why_not ? html`<p class="told">${set(expected.why_not)}</p>`
        : html`<p class="ear-how">${bound(set(expected?.pluck_text))}</p>`}
      <${NoMicrophone} ear=${ear} />
      <${Trouble} ear=${ear} />
      ${expected?.why_not ? null : html`
      ${deaf && !ear.last.value ? null : html`<div class="ear-work">
        <div class="ear-load"><${Load} ear=${ear} expected=${expected} /></div>
        ${deaf ? null : html`<${Plots} ear=${ear} />`}
      </div>`}
      <${Plucks} ear=${ear} />
      <p class="jig-sides"><button class="act" type="button" disabled=${ear.entry.value === ""} onClick=${() => onUse(set(ear.entry.value), false)}>
        Use this load${ear.entry.value ? html`: <${Value} text=${set(ear.entry.value)} />` : null}</button>
        <${Recording} ear=${ear} /></p>
      <${Check} ear=${ear} />`}
      <${Said} ear=${ear} />
      <p class="ear-used" role="status">${used ? html`<${Value} text=${used} /> ${where}` : ""}</p>
    </section>`;
}

/** The load of the last pluck, huge, and what to do about it. */
function Load({ ear, expected }) {
  const last = ear.last.value;
  const hearing = last?.hearing;
  useEffect(() => { if (hearing) performance.mark("ear:shown", { detail: { key: last.key } }); }, [hearing]);
  const waits = { asking: "Say yes to the microphone", none: "" }[ear.state.value] ?? "Pluck the line";
  return html`
    <p class="ear-huge" data-waits=${hearing?.heard ? null : ""}>${hearing?.heard ? html`<${Value} text=${set(hearing.load_text)} />` : hearing ? "Not heard" : waits}</p>
    <p class="ear-say" data-verdict=${hearing?.heard ? hearing.verdict : null}>${hearing ? (hearing.heard ? hearing.say : set(hearing.why_not)) : ""}</p>
    <${Scale} expected=${expected} hearing=${hearing?.heard ? hearing : null} />
    <${Hint} ear=${ear} />
    ${(hearing?.notes ?? []).map((note) => html`<p class="ear-note">${bound(set(note))}</p>`)}
    ${hearing?.heard ? html`<${Facts} hearing=${hearing} />` : null}`;
}

/** Said once for each pluck: a voice that speaks while the line still rings is heard with it. */
function Said({ ear }) {
  const { over, hearing } = ear.last.value ?? {};
  const said = !over ? "" : hearing.heard ? `${set(hearing.load_text)}: ${hearing.say}` : set(hearing.why_not);
  return html`<p class="unseen" aria-live="polite" aria-atomic="true">${said}</p>`;
}

function Facts({ hearing }) {
  return html`
    <details class="ear-facts"><summary>What it is made of</summary>
      <p>${bound(set(hearing.pitch_text))}, heard over ${Number(hearing.used_s).toFixed(1)} s${hearing.plucks > 1 ? `, in ${counted(hearing.plucks, "pluck")}` : ""}.</p>
      <p>The ± comes from ${(hearing.budget ?? []).map(({ label, share }) => `${label} ${Math.round(100 * share)} %`).join(", ")}.</p>
    </details>`;
}

/** Each pluck's load in a short row, and what they give together. */
function Plucks({ ear }) {
  const { value: heard } = ear.heard;
  const { value: together } = ear.together;
  if (heard.length === 0) return null;
  const { value: alike } = ear.alike;
  const { value: wanted } = ear.wanted;
  const isApart = (p) => p.over && !alike.includes(p);
  return html`
    <ol class="ear-plucks" aria-label="Plucks heard">
      ${heard.map((p, i) => html`<li key=${p.key} data-over=${p.over ? "" : null} data-apart=${isApart(p) ? "" : null}>
        <span class="ear-number">${p.name || `${i + 1}`}</span><b><${Value} text=${set(p.hearing.load_text)} /></b>
        <button class="act" type="button" aria-label=${`Drop ${p.name || `pluck ${i + 1}`}`} onClick=${() => ear.drop(p.key)}>Drop</button></li>`)}
    </ol>
    <p class="ear-together">${together ? html`Together <b><${Value} text=${set(together.load_text)} /></b>, ${fractions(set(together.scatter_text))}: ${set(together.say)}. ` : null}
      ${heard.some(isApart) ? "Earlier plucks, at another load, are left out. " : null}
      ${wanted > 0 && !heard.at(-1).name ? `${["", "Pluck once more", "Pluck twice more", "Pluck three times"][wanted]}: three that agree go in by themselves.` : null}
      ${(together?.notes ?? []).map((note) => html` ${bound(set(note))}`)}</p>`;
}
