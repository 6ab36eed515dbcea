/** What sits on the riser: limb bolts and what a turn of them does, the cable guard and what it bears. */
import { useState } from "preact/hooks";
import { fractions, html, Value } from "../lib/dom.js";
import { numberOrText } from "../models/steps.js";
import { Keyed } from "./keyed.js";

/** @typedef {import("../models/bow_model.js").BowModel} BowModel */

/** @param {{model: BowModel}} props */
export function Bolts({ model }) {
  const { bolts } = model.answers.value.data;
  if (!bolts) return null;
  const own = model.job.value.bow.limb_bolts ?? {};
  const uneven = own.out === undefined && (own.upper !== undefined || own.lower !== undefined);
  return html`<${Fold} klass="bow-turns bow-bolts" title="Limb bolts" said=${headline(bolts)} needed=${bolts.notes.length > 0}>
    <p class="caution" role="note"><b>Before any turn:</b> ${bolts.caution}</p>
    <dl class="bow-shot">
      ${uneven ? html`<${Said} model=${model} name="upper" value=${own.upper} label="upper bolt, turns out" empty="count them" count />
          <${Said} model=${model} name="lower" value=${own.lower} label="lower bolt, turns out" empty="count them" count />`
        : html`<${Said} model=${model} name="out" value=${own.out} label="both bolts, turns out" empty="count them" count />`}
      <${Said} model=${model} name="most" value=${own.most} label="its maker allows" empty="turns out" count />
      <${Said} model=${model} name="thread" value=${own.thread} label="threads" empty="count, 20 per in" />
      <${Said} model=${model} name="arm" value=${own.arm} label="bolt to where the limb rocks" empty="measure it" />
    </dl>
    ${bolts.notes.map((note) => html`<p class="small">${opened(note)}.</p>`)}
    <table class="rows stack"><caption class="wait small">One turn out; a turn in does the contrary. By the same bows; ${fractions(bolts.source_text)}.</caption>
      <thead><tr><th scope="col"><span class="unseen">figure</span></th>${bolts.columns.map((name) => html`<th scope="col">${name}</th>`)}</tr></thead>
      <tbody>${bolts.rows.map((row) => html`<tr key=${row.name}><th scope="row">${row.label}</th>${row.text.map((text, k) => html`<td data-label=${bolts.columns[k]}><${Value} text=${text} /></td>`)}</tr>`)}</tbody></table>
  <//>`;
}

/** What a turn of both bolts takes from the weight, said while the rest is folded away. */
const headline = (bolts) => {
  const weight = bolts.rows.find((row) => row.name === "draw_weight");
  return weight ? `one turn out of both: draw weight ${weight.text[0]}` : "";
};

/** A part of the page that is opened when it is wanted; what was opened stays open. */
export function Fold({ klass, title, said, needed = false, children }) {
  const [open, setOpen] = useState(needed);
  return html`<details class=${`bow-fold ${klass}`} open=${open} onToggle=${(e) => setOpen(e.currentTarget.open)}>
    <summary><h2>${title}</h2> <span class="wait">${fractions(said)}</span></summary><div class="bow-fold-in">${children}</div></details>`;
}

/** A number of the limb bolts that can be keyed. */
function Said({ model, name, value, label, empty, count = false }) {
  return html`<div><dt>${label}</dt><dd><${Keyed} model=${model} field=${`bow.limb_bolts.${name}`} value=${value} label=${label} empty=${empty} klass="strong"
    read=${count ? numberOrText : undefined} /></dd></div>`;
}

/** @param {{model: BowModel}} props */
export function OnRiser({ model }) {
  const { guard } = model.answers.value.data;
  const { bow } = model.job.value;
  if (!bow.kind.endsWith("-cam")) return null;
  const own = bow.guard ?? {};
  const rollers = own.kind === "rollers";
  const stop = bow.string_stop ?? {};
  return html`<${Fold} klass="bow-guard" title="Cable guard and string stop" said=${placed(bow)} needed=${guard !== null}>
    <dl class="bow-shot">
      <${Place} model=${model} name="aside" value=${own.aside} label="cables held aside" empty="measure it, 1 in" />
      ${own.aside === undefined ? null : html`<${Place} model=${model} name="height" value=${own.height} label="over the grip's pivot" empty="measure it, 2 in" />`}
      ${rollers ? html`<${Place} model=${model} name="behind" value=${own.behind} label="rollers behind the pivot" empty="if they push" />
        <${Place} model=${model} name="diameter" value=${own.diameter} label="their diameter" empty="in the groove" />` : null}
    </dl>
    ${guard === null ? html`<p class="wait small">Say how far aside the ${rollers ? "rollers hold" : "slide holds"} the cables, to the archer's right or, below zero, to the left; then it is worked out what that costs.</p>` : html`
      <table class="rows stack"><caption class="unseen">Side force along the draw</caption>
        <thead><tr><th scope="col"><span class="unseen">what</span></th>${WHEN.map((when) => html`<th scope="col">${when}</th>`)}</tr></thead>
        <tbody>${guard.rows.map((row) => html`<tr key=${row.label}><th scope="row">${row.label}</th>${row.text.map((text, k) => html`<td data-label=${WHEN[k]}><${Value} text=${text} /></td>`)}</tr>`)}</tbody></table>
      ${guard.notes.map((note) => html`<p class="small">${opened(note)}.</p>`)}`}
    <dl class="bow-shot">
      <${Place} model=${model} of="string_stop" name="height" value=${stop.height} label="string stop over the pivot, − below it" empty="measure it, -7 in" />
      ${stop.height === undefined ? null : html`<${Place} model=${model} of="string_stop" name="face" value=${stop.face} label="its face along the string" empty="measure it" />`}
    </dl>
  <//>`;
}

const WHEN = ["at brace", "at the peak", "at full draw"];

/** What is said of them already. */
const placed = ({ guard, string_stop: stop }) => [guard ? `cables held ${guard.aside} aside` : "", stop ? `stop at ${stop.height}` : ""].filter(Boolean).join("; ") || "not measured";

/** A size of the guard or the stop that can be keyed. */
function Place({ model, of = "guard", name, value, label, empty }) {
  return html`<div><dt>${label}</dt><dd><${Keyed} model=${model} field=${`bow.${of}.${name}`} value=${value} label=${label} empty=${empty} klass="strong" /></dd></div>`;
}

/** What is touched and has no serving. */
export function Bare({ model }) {
  const { bare } = model.answers.value.data;
  if (bare.length === 0) return null;
  return html`<ul class="warned">${bare.map((part) => html`<li>${fractions(part.text)}</li>`)}</ul>`;
}

/** A note begins a sentence. */
const opened = (note) => fractions(note[0].toUpperCase() + note.slice(1));
