/** Servings and marks, one row each, every number beside what it measures. */
import { useState } from "preact/hooks";
import { fractions, html, Value } from "../lib/dom.js";
import { keyedPlace } from "../models/edges.js";
import { asOptions } from "./choices.js";
import { Chosen, Coloured, Keyed } from "./keyed.js";

/** @typedef {import("../models/line_model.js").LineModel} LineModel */

/** @param {{model: LineModel, choices: any}} props */
export function Servings({ model, choices }) {
  const servings = model.job.value.line.servings ?? [];
  const plan = model.view.value?.plan;
  return html`<section class="servings"><h2>Servings</h2>
    <table class="rows"><thead><tr><th scope="col">serving</th><th scope="col">from</th><th scope="col">to</th><th scope="col">thread</th>
      <th scope="col">outside diameter</th><th scope="col">it must fit</th><th><span class="unseen">take out</span></th></tr></thead>
    <tbody>${servings.map((serving, k) => {
      const at = `line.servings[${k + 1}]`;
      const planned = plan?.servings.find((one) => one.name === serving.name);
      return html`<tr key=${at}>
        <th scope="row" data-label="serving"><span class="named"><${Coloured} model=${model} field=${`${at}.colour`} value=${serving.colour ?? planned?.colour ?? "#3A3A3A"} label=${`colour of the thread, ${serving.name}`} />
          <${Keyed} model=${model} field=${`${at}.name`} value=${serving.name} label=${`name of serving ${k + 1}`} klass="strong" /></span></th>
        <td data-label="from"><${Place} model=${model} field=${`${at}.start`} words=${`${serving.name}, start`} /></td>
        <td data-label="to"><${Place} model=${model} field=${`${at}.stop`} words=${`${serving.name}, stop`} /></td>
        <td data-label="thread"><${Chosen} model=${model} field=${`${at}.thread`} value=${serving.thread} label=${`thread, ${serving.name}`} options=${choices.threads} />
          ${planned ? html`<span class="wait small beside"><${Value} text=${planned.thread_length_text} /></span>` : null}</td>
        <td data-label="outside diameter">${planned ? html`<${Value} text=${planned.outside_diameter_text} />` : "–"}</td>
        <td data-label="it must fit"><${Fits} plan=${plan} name=${serving.name} /></td>
        <td class="last"><button type="button" class="plain small" aria-label=${`Take out ${serving.name}`} onClick=${() => model.change([{ field: at, value: null }])}>take out</button></td>
      </tr>`;
    })}</tbody></table>
    <${Unsure} fits=${plan?.fits ?? []} />
    <${AddServing} model=${model} choices=${choices} count=${servings.length} />
  </section>`;
}

/** A place on the line, keyed from the end it is measured from. */
function Place({ model, field, words }) {
  const place = keyedPlace(model.job.value, model.view.value?.strip.handles ?? [], field);
  return html`<${Keyed} model=${model} field=${field} value=${place.text} label=${place.fromFar ? `${words}, from the far end` : words} changes=${place.changes} />
    ${place.fromFar ? html`<span class="wait small beside">from far end</span>` : null}`;
}

/** How the finished serving sits where it must go. */
function Fits({ plan, name }) {
  const fits = plan?.fits.filter((fit) => fit.what === name) ?? [];
  if (fits.length === 0) return html`<span class="wait">–</span>`;
  return fits.map((fit) => html`<span class="fit" data-verdict=${fit.verdict} title=${fit.sentence}>
    ${fractions(fit.allowed_text)} <span class="wait">${once(fit.against)}:</span> <b>${fit.verdict}</b></span>`);
}

/** "track cam track" says its kind twice. */
const once = (/** @type {string} */ against) => against.replace(/^(track|peg|nock) (?=.*\b\1\b)/, "");

/** What to do where the numbers cannot tell, or tell that it does not fit; each act once. */
function Unsure({ fits }) {
  const acts = new Map();
  for (const fit of fits) {
    if (fit.verdict === "fits" || !fit.sentence) continue;
    acts.set(fit.sentence, [...(acts.get(fit.sentence) ?? []), fit.what]);
  }
  if (acts.size === 0) return null;
  return html`<ul class="unsure small wait">${[...acts].map(([act, names]) => html`<li>${[...new Set(names)].join(", ")}: ${fractions(act)}</li>`)}</ul>`;
}

/** A further serving, keyed on one row. */
function AddServing({ model, choices, count }) {
  const [open, setOpen] = useState(false);
  const [row, setRow] = useState({ name: "", start: "", stop: "" });
  if (!open) return html`<p><button type="button" class="plain small" onClick=${() => setOpen(true)}>Add a serving</button></p>`;
  const field = `line.servings[${count + 1}]`;
  const set = (/** @type {string} */ name) => (/** @type {any} */ event) => setRow({ ...row, [name]: event.currentTarget.value });
  const unit = model.job.value.paper?.units ?? "in";
  const withUnit = (/** @type {string} */ text) => (/[a-z"']/i.test(text) ? text : `${text.trim()} ${unit}`);
  const add = async (/** @type {Event} */ event) => {
    event.preventDefault();
    const thread = model.job.value.line.servings?.[0]?.thread ?? choices.threads[0]?.name;
    const value = { name: row.name, use: "free", thread, start: withUnit(row.start), stop: withUnit(row.stop) };
    if (await model.change([{ field, value }])) { setOpen(false); setRow({ name: "", start: "", stop: "" }); }
  };
  const wrong = model.wrong.value[field];
  return html`<form class="add-row" onSubmit=${add}>
    <label>name <input required value=${row.name} onInput=${set("name")} /></label>
    <label>from <input required value=${row.start} onInput=${set("start")} placeholder="31 1/2 in" /></label>
    <label>to <input required value=${row.stop} onInput=${set("stop")} placeholder="32 in" /></label>
    <button class="act">Add it</button><button type="button" class="plain" onClick=${() => { setOpen(false); model.forgive(field); }}>Leave it</button>
    ${wrong ? html`<p class="wrong" role="alert">${wrong.about ? `${wrong.about}: ` : ""}${fractions(wrong.rule)}; <b>${fractions(wrong.remedy)}</b></p>` : null}
  </form>`;
}

/** What may sit at a mark; left open, its name tells. */
const KINDS = [{ name: "", label: "by its name" }, ...asOptions(["peep", "nocking point", "string loop", "silencer", "weight", "button", "stop", "centre", "other"])];

/** @param {{model: LineModel}} props */
export function Marks({ model }) {
  const marks = model.job.value.line.marks ?? [];
  const unit = model.job.value.paper?.units ?? "in";
  const middle = model.view.value?.plan.target.length_text;
  const add = () => model.change([{ field: `line.marks[${marks.length + 1}]`, value: { name: `mark ${marks.length + 1}`, at: `0 ${unit}` } }]);
  return html`<section class="marks"><h2>Marks</h2>
    ${marks.length === 0 ? html`<p class="wait">No nock, peep or centre is marked.</p>` : html`<table class="rows marks-rows"><tbody>${marks.map((one, k) => {
      const at = `line.marks[${k + 1}]`;
      return html`<tr key=${at}><th scope="row"><${Keyed} model=${model} field=${`${at}.name`} value=${one.name} label=${`name of mark ${k + 1}`} klass="strong" /></th>
        <td><span class="wait small">at </span><${Place} model=${model} field=${`${at}.at`} words=${`${one.name}, place`} /></td>
        <td><${Chosen} model=${model} field=${`${at}.kind`} value=${one.kind ?? ""} label=${`what sits at ${one.name}`} options=${KINDS} /></td>
        <td><span class="wait small">mass </span><${Keyed} model=${model} field=${`${at}.mass`} value=${one.mass ?? ""} label=${`mass on ${one.name}`} empty="none" /></td>
        <td class="last"><button type="button" class="plain small" aria-label=${`Take out ${one.name}`} onClick=${() => model.change([{ field: at, value: null }])}>take out</button></td></tr>`;
    })}</tbody></table>`}
    ${middle ? html`<p><button type="button" class="plain small" onClick=${add}>Add a mark</button></p>` : null}
  </section>`;
}
