/** Bring it home: what the bow measures, what is wanted, the turns for it, and what they did. */
import { useId, useMemo } from "preact/hooks";
import { bound, counted, fractions, html, Value } from "../lib/dom.js";
import { FIGURES, TrialDraft } from "../models/trial_draft.js";
import { Keyed, Wrong } from "./keyed.js";

/** @typedef {import("../models/bow_model.js").BowModel} BowModel */

/** The figures that turns move on this bow. */
function tuned(model) {
  const names = model.tuning.data.turns.rows.map((row) => row.name);
  return FIGURES.filter(([name]) => names.includes(name));
}

/** A figure that is less likely than this to come home is said apart [%]. */
const DOUBTFUL = 50;

/** @param {{model: BowModel}} props */
export function Home({ model }) {
  const { home, trial_text: trial = "", caution } = model.tuning.data;
  return html`<section class="bow-home" id="bow-home"><h2>Bring it home</h2>
    ${model.answers.value !== null ? null : html`<p class="bow-by-readings">From your readings only: no bow can be asked, so turns are known by what they did to this one.</p>`}
    <p class="caution" role="note"><b>Before any turn:</b> ${caution}</p>
    <div class="bow-home-parts" data-told=${home !== null || trial !== "" ? "yes" : null}>
      <div class="bow-measured"><${Measured} model=${model} />${home === null ? html`<${FirstAct} model=${model} />` : null}</div>
      ${home === null ? null : html`<${Advice} model=${model} home=${home} trial=${trial} />`}
      ${home !== null || trial === "" ? null : html`<div class="bow-advice"><${NextTrial} text=${trial} /></div>`}
      <${Trials} model=${model} />
    </div></section>`;
}

/** The trial that teaches what nobody knows yet. */
const NextTrial = ({ text }) => html`<p class="bow-next-trial"><b>Try this next.</b> ${bound(text)}</p>`;

/** Each figure with what it was, what it is now and what it should be. */
function Measured({ model }) {
  const { bow } = model.job.value;
  const { now = {}, wanted = {} } = bow;
  return html`<table class="rows bow-now"><caption class="unseen">What the bow measures and what is wanted</caption>
    <thead><tr><th scope="col">with the new line on</th><th scope="col">now</th><th scope="col">wanted</th></tr></thead>
    <tbody>${tuned(model).map(([name, label]) => html`<tr key=${name}><th scope="row">${label}</th>
      <td data-label="now"><${Keyed} model=${model} field=${`bow.now.${name}`} value=${now[name]} label=${`${label} now`} empty="measure it" klass="strong" /></td>
      <td data-label="wanted"><${Keyed} model=${model} field=${`bow.wanted.${name}`} value=${wanted[name]} label=${`${label} wanted`} empty=${bow[name] ?? (name === "centring" ? "in the middle" : "not asked for")} /></td></tr>`)}</tbody></table>
    <p class="wait small">In slanted letters what the bow measured before; that is wanted where you say nothing else. A ± says how near: ${
      model.units === "in" ? fractions("29 in +- 1/8 in") : "737 mm +- 3 mm"}.</p>`;
}

/** The one next act while no turns can be advised. */
function FirstAct({ model }) {
  const { bow } = model.job.value;
  const { now = {} } = bow;
  const measured = tuned(model).filter(([name]) => now[name] !== undefined);
  if (measured.length === 0) {
    const go = () => { /** @type {any} */ (document.querySelector('[data-field="bow.now.brace_height"]'))?.focus(); };
    return html`<p><button type="button" class="act next" onClick=${go}>Measure the bow as it stands</button></p>`;
  }
  const { wanted = {} } = bow;
  // What it measured before is wanted where nothing else is said; then only a trial, or the answer, is missing.
  if (measured.some(([name]) => wanted[name] !== undefined || bow[name] !== undefined || name === "centring")) return null;
  return html`<p>Say what is wanted of a figure that is measured.</p>`;
}

/** Turns for each line, what to expect of them, and what may hurt. */
function Advice({ model, home, trial }) {
  const same = home.half.text === home.whole.text;
  const still = home.half.acts.every((act) => act.turns === 0);
  const doubtful = home.half.rows.filter((row) => likely(row.chance_text) < DOUBTFUL);
  return html`<div class="bow-advice">
    <div class="bow-turns-asked">
      <div class="next bow-asked"><h3>${still ? "Leave it as it is" : same ? "Turns" : "In half turns"}</h3><${Acts} acts=${home.half.acts} /></div>
      ${same ? null : html`<div class="bow-asked"><h3>In whole turns</h3><${Acts} acts=${home.whole.acts} /></div>`}
    </div>
    <table class="rows stack bow-expected"><caption class="unseen">What to expect</caption>
      <thead><tr><th scope="col">to expect</th><th scope="col">now</th><th scope="col">wanted</th>
        <th scope="col">${same ? "after" : "after half turns"}</th>${same ? null : html`<th scope="col">after whole turns</th>`}</tr></thead>
      <tbody>${home.half.rows.map((row, k) => html`<tr key=${row.label}><th scope="row">${row.label}</th>
        <td data-label="now"><${Value} text=${row.now_text} /></td><td data-label="wanted"><${Value} text=${row.wanted_text} /></td>
        <td data-label=${same ? "after" : "after half turns"}><${Expected} row=${row} /></td>
        ${same ? null : html`<td data-label="after whole turns"><${Expected} row=${home.whole.rows[k]} /></td>`}</tr>`)}</tbody></table>
    ${doubtful.length === 0 ? null : html`<p class="bow-doubt">These turns are not likely to bring all of it home: ${doubtful.map((row) => `${row.label} ${row.chance_text}`).join(", ")}.
      Put them in, read again and log the trial; look also whether ${settings(model.job.value.bow)} as they were, within the bow maker’s limits.</p>`}
    ${still ? null : html`<ol class="bow-order" aria-label="Order of work">${home.order.map((text) => html`<li>${text}</li>`)}</ol>`}
    ${trial === "" ? null : html`<${NextTrial} text=${trial} />`}
  </div>`;
}

/** What else may have moved. */
const settings = ({ kind, crossbow }) => (kind.endsWith("-cam") ? "limb bolts, stops and modules are"
  : crossbow === "compound" ? "limb bolts and modules are" : "the limbs sit");

const Acts = ({ acts }) => html`<ul>${acts.map((act) => html`<li data-still=${act.turns === 0 ? "yes" : null}>
  <span>${act.line}</span> <b>${bound(act.text.slice(act.line.length + 2))}</b></li>`)}</ul>`;

const Expected = ({ row }) => html`<${Value} text=${row.expected_text} /> <span class="wait small bow-chance">chance ${row.chance_text}</span>`;

/** @param {string} text such as `71 %` */
const likely = (text) => Number(/[0-9.]+/.exec(text)?.[0] ?? 100);

/** What was tried, and the next trial as it is noted. */
function Trials({ model }) {
  const draft = useMemo(() => new TrialDraft(model), [model]);
  const { lines, data } = model.tuning;
  const { bow } = model.job.value;
  const trials = bow.trials ?? [];
  const submit = (/** @type {any} */ event) => { event.preventDefault(); void draft.log(lines); };
  return html`<div class="bow-trials"><h3>Before and after</h3>
    <p class="wait small">Note the turns you put in and what the bow reads since; what stands under <i>now</i> is what it read before. What turns do here is known from ${fractions(data.turns.source_text)}.</p>
    ${trials.length === 0 ? null : html`<ol class="bow-tried">${trials.map((trial, k) => html`<li key=${k}>
      <span>${trial.turns.map((put) => `${put.line} ${turnsText(put.turns)}`).join(", ")}</span>
      <span class="wait">${FIGURES.filter(([name]) => trial.before?.[name] && trial.after?.[name])
        .map(([name, label]) => fractions(`${label} ${trial.before[name]} to ${trial.after[name]}`)).join("; ") || "nothing read before and after"}</span>
      <button type="button" class="plain small" aria-label=${`Take out trial ${k + 1}`} onClick=${() => model.change([{ field: `bow.trials[${k + 1}]`, value: null }])}>take out</button></li>`)}</ol>`}
    <form class="bow-trial" onSubmit=${submit} aria-label="Log a trial">
      <fieldset><legend>Turns put in</legend>${lines.map((line) => html`<${Noted} draft=${draft} field=${`turns.${line}`} label=${line} name=${`turns put into ${line}`} empty="none" />`)}</fieldset>
      <fieldset><legend>It reads since</legend>${tuned(model).map(([name, label]) => html`<${Noted} draft=${draft} field=${`after.${name}`} label=${label} name=${`${label} since`} empty=${bow.now?.[name] ?? "not read"} />`)}</fieldset>
      <p><button type="submit" class="act">Log the trial</button></p>
    </form></div>`;
}

function Noted({ draft, field, label, name, empty }) {
  const id = useId();
  const wrong = draft.wrong.value[field];
  return html`<div class="bow-noted"><span>${label}</span>
    <input class="keyed strong" aria-label=${name} size="9" value=${draft.shown(field)} placeholder=${empty} autocomplete="off" spellcheck=${false}
      aria-invalid=${wrong ? "true" : null} aria-describedby=${wrong ? id : null} onInput=${(e) => draft.type(field, e.currentTarget.value)} />
    <${Wrong} id=${id} wrong=${wrong} /></div>`;
}

/** @param {number} turns */
function turnsText(turns) {
  const half = Math.abs(turns) % 1 === 0.5;
  const count = half ? `${Math.floor(Math.abs(turns)) || ""} 1⁄2`.trim() : String(Math.abs(turns));
  return `${half ? `${count} turns` : counted(Math.abs(turns), "turn")} ${turns > 0 ? "in" : "out"}`;
}
