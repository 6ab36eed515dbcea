/** The form in which something is written of a line on its bow. */
import { fractions, html } from "../lib/dom.js";
import { KINDS } from "../models/service_draft.js";
import { announce } from "../models/shell.js";
import { Failure, Field } from "./parts.js";

/** What suggests itself next, by what the answer is. */
const NEXT = {
  "not on a bow": "on-bow", "still moving": "length-off", done: "length-off", "twist back": "turns-changed",
  "read again": "length-off", retire: "retired", "do not draw": "retired",
};

/** @param {{line: any, draft: import("../models/service_draft.js").ServiceDraft, path: string, onWritten: (answer: any) => void}} props */
export function EntryForm({ line, draft, path, onWritten }) {
  if (line.act === "retired") return null;
  const type = draft.type.value || NEXT[line.act];
  const kind = KINDS.find((one) => one.type === type) ?? KINDS[0];
  const names = ["at", "shots", ...kind.asks.map((ask) => ask.name)];
  const failure = draft.failure.value;
  const elsewhere = failure ? draft.elsewhere(names.map((name) => (name === "shots" && kind.type === "replace-by" ? "months" : name))) : [];
  const send = async (/** @type {Event} */ event) => {
    event.preventDefault();
    if (!draft.type.value) draft.choose(kind.type);
    const answer = await draft.send(path);
    if (answer) onWritten(answer); else announce(`Not written. ${draft.failure.value?.message ?? ""}`);
  };
  const shown = KINDS.filter((one) => (line.on_bow_since === null ? ["on-bow", "looked-over", "replace-by", "retired"] : KINDS.map((k) => k.type).filter((t) => t !== "on-bow")).includes(one.type));
  const isFirst = kind.type === "on-bow";
  return html`<form class="service-form" onSubmit=${send} novalidate aria-label="Write something down">
    <h2>Write something down</h2>
    <${Field} label="What happened" id="service-kind"><select id="service-kind" onChange=${(e) => draft.choose(e.currentTarget.value)}>
      ${shown.map((one) => html`<option value=${one.type} selected=${one.type === kind.type}>${one.label}</option>`)}</select><//>
    <p class=${kind.grave ? "told" : "wait"}>${kind.said}</p>
    <div class="service-fields">
      ${kind.asks.map((ask) => html`<${Asked} key=${`${kind.type} ${ask.name}`} ask=${ask} draft=${draft} kind=${kind} />`)}
      ${isFirst ? null : html`<${Field} label="Shots since it went on" id="service-shots" wrong=${kind.type === "replace-by" ? undefined : draft.wrongAt("shots")} hint=${`${line.shots} by the last entry; left empty, as many`}>
        <input id="service-shots" inputmode="numeric" autocomplete="off" aria-invalid=${kind.type !== "replace-by" && draft.wrongAt("shots") ? "true" : null} aria-describedby="service-shots-hint" value=${draft.typed.value.shots_so_far ?? ""} onInput=${(e) => draft.put("shots_so_far", e.currentTarget.value)} /><//>`}
      <${Field} label="When" id="service-at" wrong=${draft.wrongAt("at")} hint="left empty, now">
        <input id="service-at" type="datetime-local" aria-invalid=${draft.wrongAt("at") ? "true" : null} aria-describedby="service-at-hint" value=${draft.typed.value.at ?? ""} onInput=${(e) => draft.put("at", e.currentTarget.value)} /><//>
    </div>
    ${line.step_cautions[kind.type] && !(kind.grave && line.act === "do not draw") ? html`<p class="caution">${line.step_cautions[kind.type]}</p>` : null}
    ${failure && (elsewhere.length > 0 || failure.errors.length === 0) ? html`<${Failure} failure=${failure.errors.length > 1 ? { message: "Not written.", errors: elsewhere } : { message: failure.message }} />` : null}
    <div class="acts"><button class="act next" disabled=${draft.busy.value}>${draft.busy.value ? "Writing…" : kind.verb}</button></div>
  </form>`;
}

function Asked({ ask, draft, kind }) {
  const id = `service-${ask.name}`;
  const wrong = draft.wrongAt(ask.name);
  if (ask.many) {
    return html`<fieldset class="service-many"><legend>${ask.label}</legend>${ask.many.map((one) => html`
      <label><input type="checkbox" checked=${Boolean(draft.typed.value[`${ask.name} ${one}`])}
        onChange=${(e) => draft.put(`${ask.name} ${one}`, e.currentTarget.checked)} />${one}</label>`)}</fieldset>`;
  }
  const value = draft.typed.value[ask.name] ?? "";
  const described = [wrong ? `${id}-wrong` : "", ask.hint ? `${id}-hint` : ""].join(" ").trim() || null;
  return html`<${Field} label=${ask.label} id=${id} wrong=${wrong} hint=${ask.hint ?? ""}>
    ${ask.options ? html`<select id=${id} onChange=${(e) => draft.put(ask.name, e.currentTarget.value)}>
        ${ask.options.map((one) => html`<option value=${one} selected=${value === one}>${one}</option>`)}</select>`
      : html`<input id=${id} autocomplete="off" placeholder=${ask.such ? `such as ${fractions(ask.such)}` : ""} value=${value} aria-invalid=${wrong ? "true" : null}
          aria-describedby=${described} data-kind=${kind.type} onInput=${(e) => draft.put(ask.name, e.currentTarget.value)} />`}<//>`;
}
