/** A bow that is taken in: who brings it, which bow, what is wanted. */
import { useEffect, useState } from "preact/hooks";
import { html } from "../lib/dom.js";
import { addressOf } from "../lib/route.js";
import { useFetched } from "../models/fetched.js";
import { intake, placed, takeIn } from "../models/intake.js";
import { units } from "../models/order_draft.js";
import { announce, setWaiting } from "../models/shell.js";
import { useChoices } from "./choices.js";
import { Failure, Field } from "./parts.js";
import { Units } from "./order_parts.js";

const WORK = ["string", "cable", "set", "fit and set", "look over"];
const BY = ["telephone", "e-mail", "post", "other"];
const LIMBS = ["wood", "wood and glass", "glass", "carbon"];
const isBent = (kind) => kind === "recurve" || kind === "longbow";

export function Intake() {
  const choices = useChoices();
  const typed = intake.value.value;
  const [failure, setFailure] = useState(/** @type {any} */ (null));
  const [busy, setBusy] = useState(false);
  const { at, elsewhere } = placed(failure);
  useEffect(() => {
    const [field] = Object.keys(at);
    if (field) document.getElementById(`in-${field}`)?.focus();
  }, [failure]);
  const send = async (/** @type {Event} */ event) => {
    event.preventDefault();
    setBusy(true); setFailure(null); setWaiting("intake", 1);
    try { location.hash = addressOf("order", await takeIn(units.value)); } catch (error) {
      setFailure(error);
      announce(`Not taken in. ${error.message}`);
    } finally { setBusy(false); setWaiting("intake", 0); }
  };
  const text = (field, label, more = {}) => html`<${Field} label=${label} id=${`in-${field}`} wrong=${at[field]} hint=${more.hint} wide=${more.wide}>
    <input id=${`in-${field}`} type=${more.type ?? "text"} value=${typed[field]} placeholder=${more.such ?? ""} autocomplete="off" spellcheck=${false} aria-invalid=${at[field] ? "true" : null}
      aria-describedby=${[at[field] ? `in-${field}-wrong` : "", more.hint ? `in-${field}-hint` : ""].join(" ").trim() || null} onInput=${(e) => intake.set({ [field]: e.currentTarget.value })} /><//>`;
  const pick = (field, label, options, none = "choose") => html`<${Field} label=${label} id=${`in-${field}`} wrong=${at[field]}>
    <select id=${`in-${field}`} aria-invalid=${at[field] ? "true" : null} onChange=${(e) => intake.set({ [field]: e.currentTarget.value })}>
      ${none === null ? null : html`<option value="" selected=${typed[field] === ""}>${none}</option>`}
      ${options.map((one) => html`<option value=${one} selected=${typed[field] === one}>${one}</option>`)}</select><//>`;
  return html`<section class="page order-page"><header class="page-head"><h1>Take in a bow</h1><a class="plain" href=${addressOf("orders")}>Leave it for now; what is typed stays</a></header>
    <form class="new-line" onSubmit=${send} novalidate>
      ${failure && (elsewhere.length > 0 || !failure.errors?.length) ? html`<${Failure} failure=${{ message: elsewhere.length > 0 ? "This stands in the way:" : failure.message, errors: elsewhere }} />` : null}
      <fieldset><legend>Who brings it</legend><${WhoBrings} typed=${typed} wrong=${at.who} />
        ${typed.who ? null : html`<div class="fields">${text("name", "name you call them by")}${pick("by", "best reached by", BY, null)}
          ${text("reach", "number or address", { hint: "Asked for once something has to be settled with them. No more of a person is kept than this." })}</div>`}</fieldset>
      <fieldset><legend>The bow</legend><div class="fields">
        ${pick("kind", "kind", choices.bow_kinds.map((one) => one.name ?? one))}
        ${typed.kind === "crossbow" ? pick("crossbow", "which crossbow", ["recurve", "compound"]) : null}
        ${text("bowName", "what you call it", { such: "such as crag bow" })}
        ${text("drawWeight", "draw weight, as they say", { such: "such as 60 lbf", hint: "left empty where nobody knows" })}
        ${isBent(typed.kind) ? html`${text("bowLength", "length of the bow", { such: "such as 66 in" })}
          ${text("year", "made in the year", { such: "such as 1988" })}${pick("limbs", "limbs of", LIMBS, "nobody knows")}
          ${pick("lowStretch", "its maker allows a low-stretch string", ["yes", "no"], "nobody knows")}` : null}
        <${Units} id="in-units" />
      </div></fieldset>
      <fieldset><legend>What is wanted</legend>
        <div class="order-ticks" role="group" aria-label="work">${WORK.map((work) => html`<label class="tick"><input type="checkbox" checked=${typed.work.includes(work)}
          onChange=${(e) => intake.set({ work: e.currentTarget.checked ? [...typed.work, work] : typed.work.filter((one) => one !== work) })} />${work}</label>`)}</div>
        <div class="fields">${text("lines", "lines to be built", { hint: "strings and cables together; 0 to be looked over only" })}
          ${text("wishedBy", "wished for by", { type: "date" })}
          <${Field} label="in their words" id="in-wants" wrong=${at.wants} wide=${true}><textarea id="in-wants" rows="3" onInput=${(e) => intake.set({ wants: e.currentTarget.value })}>${typed.wants}</textarea><//></div></fieldset>
      <div class="acts"><button class="act next" disabled=${busy}>${busy ? "Opening the order…" : "Open the order"}</button></div>
    </form></section>`;
}

/** Somebody who was here before, found by a few letters; or somebody new. */
function WhoBrings({ typed, wrong }) {
  const words = typed.name.trim();
  const fetched = useFetched(`/api/customers?words=${encodeURIComponent(words)}`);
  const found = (fetched.value.value?.customers ?? []).slice(0, 5);
  if (typed.who) {
    return html`<p>${typed.whoName}, who was here before. <button type="button" class="plain" onClick=${() => intake.set({ who: "", whoName: "" })}>Somebody else</button></p>
      ${wrong ? html`<p class="wrong" role="alert">${wrong.rule}; <b>${wrong.remedy}</b></p>` : null}`;
  }
  if (words.length < 2 || found.length === 0) return null;
  return html`<div class="order-known" role="group" aria-label="Here before"><span class="wait small">Here before:</span>
    ${found.map((one) => html`<button type="button" class="act" onClick=${() => intake.set({ who: one.id, whoName: one.name })}>${one.name}${one.reach ? html` <span class="wait small">${one.reach}</span>` : null}</button>`)}</div>`;
}
