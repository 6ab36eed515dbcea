/** Who brought it, which bow, what is wanted; how they are reached can be put right here. */
import { useState } from "preact/hooks";
import { counted, fractions, html } from "../lib/dom.js";
import { put } from "../lib/api.js";
import { asNumber, told } from "../models/order_draft.js";
import { useChoices } from "./choices.js";
import { Part } from "./order_parts.js";
import { Failure, Field } from "./parts.js";

const BY = ["telephone", "e-mail", "post", "other"];
const LIMBS = ["wood", "wood and glass", "glass", "carbon"];
const isBent = (kind) => kind === "recurve" || kind === "longbow";

export function Who({ page, draft, write, trying }) {
  const bow = page.bow ?? {};
  const facts = [
    ["bow", [bow.name, bow.kind].filter(Boolean).join(", ")], ["draw weight", bow.draw_weight ?? "not known"],
    ["made", [bow.year, bow.limbs ? `limbs of ${bow.limbs}` : ""].filter(Boolean).join(", ")],
    ["wanted", [...(page.opened?.work ?? []), page.opened?.lines === 0 ? "no line" : counted(page.opened?.lines ?? 1, "line")].join(", ")],
    ["reached by", (page.customer?.reach ?? []).map((one) => `${one.by}, ${one.at}`).join("; ") || "nothing kept"],
  ].filter(([, text]) => text);
  return html`<${Part} id="who" title="Who, and which bow">
    <dl class="order-facts">${facts.map(([name, text]) => html`<div><dt>${name}</dt><dd>${fractions(text)}</dd></div>`)}</dl>
    ${page.opened?.wants ? html`<p class="order-said">${page.opened.wants}</p>` : null}
    ${page.polyester ? html`<p class="caution">Polyester for this bow: ${page.polyester}.</p>` : null}
    <details><summary>Put right what is known of the bow</summary><${BowKnown} bow=${bow} draft=${draft} write=${write} /></details>
    <details><summary>How they are reached</summary><${Reach} page=${page} trying=${trying} /></details>
  <//>`;
}

/** The bow told anew; what is left as it stands stays. */
function BowKnown({ bow, draft, write }) {
  const choices = useChoices();
  const typed = draft.typed.value.bow;
  const shown = (name) => typed[name] ?? String(bow[name] ?? "");
  const text = (name, label, such) => html`<${Field} label=${label} id=${`bow-${name}`} wrong=${draft.wrongAt(`bow.${name}`)}>
    <input id=${`bow-${name}`} value=${shown(name)} placeholder=${such} autocomplete="off" spellcheck=${false} aria-invalid=${draft.wrongAt(`bow.${name}`) ? "true" : null} onInput=${(e) => draft.type("bow", name, e.currentTarget.value)} /><//>`;
  const pick = (name, label, options, none) => html`<${Field} label=${label} id=${`bow-${name}`} wrong=${draft.wrongAt(`bow.${name}`)}><select id=${`bow-${name}`} onChange=${(e) => draft.type("bow", name, e.currentTarget.value)}>
    ${none ? html`<option value="" selected=${shown(name) === ""}>${none}</option>` : null}${options.map((one) => html`<option value=${one} selected=${shown(name) === one}>${one}</option>`)}</select><//>`;
  const save = async (/** @type {Event} */ event) => {
    event.preventDefault();
    const { takes_low_stretch: leave, year, ...others } = Object.fromEntries(["kind", "name", "draw_weight", "bow_length", "limbs", "year", "takes_low_stretch"].map((name) => [name, shown(name)]));
    const kept = Object.fromEntries(Object.entries(bow).filter(([name]) => !["kind", "name", "draw_weight", "bow_length", "limbs", "year", "takes_low_stretch"].includes(name)));
    const anew = { ...kept, ...told(others), ...(year.trim() ? { year: asNumber(year.trim()) } : {}), ...(["yes", "true"].includes(leave) ? { takes_low_stretch: true } : ["no", "false"].includes(leave) ? { takes_low_stretch: false } : {}) };
    await write("bow", "bow-looked-at", { bow: anew }, () => ({ bow: {} }));
  };
  return html`<form class="order-form" onSubmit=${save} novalidate><div class="fields">
    ${pick("kind", "kind", choices.bow_kinds.map((one) => one.name ?? one))}${text("name", "what you call it", "such as crag bow")}${text("draw_weight", "draw weight", "such as 60 lbf")}
    ${isBent(shown("kind")) ? html`${text("bow_length", "length of the bow", "such as 66 in")}${text("year", "made in the year", "such as 1988")}${pick("limbs", "limbs of", LIMBS, "nobody knows")}
      <${Field} label="its maker allows a low-stretch string" id="bow-leave"><select id="bow-leave" onChange=${(e) => draft.type("bow", "takes_low_stretch", e.currentTarget.value)}>
        ${[["", "nobody knows"], ["yes", "yes"], ["no", "no"]].map(([value, label]) => html`<option value=${value} selected=${{ true: "yes", false: "no" }[shown("takes_low_stretch")] === value || shown("takes_low_stretch") === value}>${label}</option>`)}</select><//>` : null}
  </div><${Wrongs} draft=${draft} part="bow" /><div class="acts"><button class="act" disabled=${Object.keys(typed).length === 0 || draft.busy.value !== ""}>Write the bow down</button></div></form>`;
}

/** What is wrong with a part and stands at none of its fields, or why nothing was written. */
export function Wrongs({ draft, part, at = [] }) {
  const failure = draft.failure.value;
  if (!failure || failure.part !== part) return null;
  const errors = (failure.errors ?? []).filter((error) => !at.some((name) => error.field === name || error.field.endsWith(`.${name}`)));
  if (failure.errors?.length > 0 && errors.length === 0) return null;
  return html`<${Failure} failure=${{ message: failure.errors?.length > 0 ? "Not written:" : failure.message, errors }} onSeen=${() => { draft.failure.value = null; }} />`;
}

function Reach({ page, trying }) {
  const reach = page.customer?.reach?.[0] ?? { by: "telephone", at: "" };
  const [by, setBy] = useState(reach.by);
  const [at, setAt] = useState(reach.at);
  if (page.customer === null) return html`<p class="wait">Nobody is kept for this order any more.</p>`;
  const save = (/** @type {Event} */ event) => {
    event.preventDefault();
    const others = page.customer.reach.slice(1);
    const customer = { name: page.customer.name, notes: page.customer.notes, reach: at.trim() === "" ? others : [{ by, at: at.trim() }, ...others] };
    void trying(() => put(`/api/customers/${page.opened.customer}`, { revision: page.customer_revision, customer }));
  };
  return html`<form class="order-form" onSubmit=${save} novalidate><div class="fields">
    <${Field} label="best reached by" id="reach-by"><select id="reach-by" onChange=${(e) => setBy(e.currentTarget.value)}>${BY.map((one) => html`<option value=${one} selected=${by === one}>${one}</option>`)}</select><//>
    <${Field} label="number or address" id="reach-at"><input id="reach-at" value=${at} autocomplete="off" onInput=${(e) => setAt(e.currentTarget.value)} /><//></div>
    <div class="acts"><button class="act">Keep it</button></div></form>`;
}

