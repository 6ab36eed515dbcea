/** What sits on the riser: limb bolts and what a turn of them does, the cable guard and what it bears. */
import { fractions, html, Value } from "../lib/dom.js";
import { Keyed } from "./keyed.js";

/** @typedef {import("../models/bow_model.js").BowModel} BowModel */

/** @param {{model: BowModel}} props */
export function Bolts({ model }) {
  const { bolts } = model.answers.value.data;
  if (!bolts) return null;
  const own = model.job.value.bow.limb_bolts ?? {};
  const uneven = own.out === undefined && (own.upper !== undefined || own.lower !== undefined);
  return html`<section class="bow-turns bow-bolts"><h2>What a turn of the limb bolts does</h2>
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
  </section>`;
}

/** A number of the limb bolts that can be keyed. */
function Said({ model, name, value, label, empty, count = false }) {
  return html`<div><dt>${label}</dt><dd><${Keyed} model=${model} field=${`bow.limb_bolts.${name}`} value=${value} label=${label} empty=${empty} klass="strong"
    read=${count ? numberOrText : undefined} /></dd></div>`;
}

/** @param {{model: BowModel}} props */
export function Guard({ model }) {
  const { guard } = model.answers.value.data;
  const { bow } = model.job.value;
  if (!bow.kind.endsWith("-cam")) return null;
  const own = bow.guard ?? {};
  const rollers = own.kind === "rollers";
  return html`<section class="bow-guard"><h2>What the cable guard bears</h2>
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
  </section>`;
}

const WHEN = ["at brace", "at the peak", "at full draw"];

/** A size of the guard that can be keyed. */
function Place({ model, name, value, label, empty }) {
  return html`<div><dt>${label}</dt><dd><${Keyed} model=${model} field=${`bow.guard.${name}`} value=${value} label=${label} empty=${empty} klass="strong" /></dd></div>`;
}

/**
 * A count as the job file holds it; what is none is refused with its reason.
 * @param {string} typed
 */
export const numberOrText = (typed) => (/^-?\d+(\.\d+)?$/.test(typed) ? Number(typed) : typed);

/** What is touched and has no serving. */
export function Bare({ model }) {
  const { bare } = model.answers.value.data;
  if (bare.length === 0) return null;
  return html`<ul class="warned">${bare.map((part) => html`<li>${fractions(part.text)}</li>`)}</ul>`;
}

/** A note begins a sentence. */
const opened = (note) => fractions(note[0].toUpperCase() + note.slice(1));
