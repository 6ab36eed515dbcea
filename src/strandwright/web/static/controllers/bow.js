/** The bow of a line: drawn, tuned, and what it says of the line. */
import { useEffect, useMemo } from "preact/hooks";
import { fractions, html } from "../lib/dom.js";
import { addressOf } from "../lib/route.js";
import { BowModel } from "../models/bow_model.js";
import { fieldInWords, readField } from "../models/job_fields.js";
import { mark, nameScreen, pictureTheme } from "../models/shell.js";
import { numberOrText } from "../models/steps.js";
import { Board } from "./bow_board.js";
import { Braces } from "./bow_braces.js";
import { Drawn } from "./bow_drawn.js";
import { Home } from "./bow_home.js";
import { Neglected, Speed, Touched, Turns } from "./bow_parts.js";
import { Bolts, Fold, OnRiser } from "./bow_riser.js";
import { Details } from "./line_details.js";
import { Keyed } from "./keyed.js";

/** @param {{id: string}} props */
export function Screen({ id }) {
  const model = useMemo(() => new BowModel(id), [id]);
  const theme = pictureTheme.value;
  useEffect(() => { model.draw({ ...firstRoom(), theme: pictureTheme.peek() }); void model.load(); }, [model]);
  useEffect(() => model.draw({ theme }), [theme]);
  const heard = mark.value;
  useEffect(() => { void model.look(); }, [heard]);
  const bow = model.job.value?.bow;
  const name = bow ? bow.name || kindOf(bow) : "";
  useEffect(() => { if (name !== "") nameScreen(name); }, [name]);

  if (model.state.value === "fetching") return html`<p class="loading">Fetching the bow…</p>`;
  if (model.state.value === "failed") {
    return html`<section class="page"><h1>This bow could not be fetched</h1><p>${model.said}</p>
      <p class="acts"><button class="act" onClick=${() => { model.state.value = "fetching"; void model.load(); }}>Fetch it again</button>
        <a class="plain" href="#/">Go to the jobs at hand</a></p></section>`;
  }
  return html`<section class="page bow-page" aria-busy=${model.looking.value ? "true" : "false"}>
    <${Head} model=${model} name=${name} />
    ${model.notice.value === "" ? null : html`<div class="told" role="alert"><p>${model.notice}</p>
      <p><button type="button" class="plain small" onClick=${() => { model.notice.value = ""; }}>Seen</button></p></div>`}
    ${model.answers.value === null ? html`<${NotYet} model=${model} />
      ${model.readings.value === null ? null : html`
        <${Home} model=${model} />
        <${Turns} model=${model} />
        <${Board} model=${model} />
        <${Neglected} model=${model} />`}` : html`
      <${Parts} model=${model} />
      <${Home} model=${model} />
      <${Touched} model=${model} />
      <${Turns} model=${model} />
      <${Braces} model=${model} />
      <${Speed} model=${model} />
      <${Drawn} model=${model} />
      <${Known} model=${model} />
      <${Board} model=${model} />
      <${Bolts} model=${model} />
      <${OnRiser} model=${model} />
      <${Details} sections=${model.answers.value.data.details ?? []} />
      <${Neglected} model=${model} />`}
  </section>`;
}

function Head({ model, name }) {
  const job = model.job.value;
  const source = model.answers.value?.data.source_text;
  return html`<header class="page-head bow-head">
    <div><h1>${name}</h1>
      <p class="wait">${[name === kindOf(job.bow) ? "" : kindOf(job.bow), job.name, job.line.name].filter(Boolean).join(" · ")}</p>
      ${source ? html`<p class="wait small" role="status">${model.looking.value ? "Working it out anew…" : html`Answered from ${fractions(source)}.`}</p>` : null}</div>
    <div class="acts"><a class="act" href=${addressOf("line", model.id)}>Back to the line</a></div>
  </header>`;
}

/** Where each answer stands on the page. */
function Parts({ model }) {
  const { braces, speed } = model.answers.value.data;
  const parts = [["bow-home", "Bring it home"], ["bow-touched", "What it touches"], ["bow-turns", "One turn"],
    ...(braces === null ? [] : [["bow-braces", "Brace by turns"]]),
    ...(speed === null ? [] : [["bow-speed", "Speed"]]), ["bow-drawn", "Along its draw"]];
  const go = (/** @type {string} */ part) => document.getElementById(part)?.scrollIntoView();
  return html`<nav class="bow-answers" aria-label="Answers on this page"><ul>${parts.map(([part, name]) => html`<li key=${part}>
    <button type="button" class="plain small" onClick=${() => go(part)}>${name}</button></li>`)}</ul></nav>`;
}

/** While bows are looked for, or why none can be. */
function NotYet({ model }) {
  const refusal = model.refusal.value;
  if (model.looking.value || refusal === null) {
    return html`<p class="bow-looking" role="status">${model.looking.value
      ? "Looking for bows that agree with yours… The first time this takes some seconds." : ""}</p>`;
  }
  const here = refusal.errors.filter((one) => /^bow\.(?:[a-z_]+|(?:guard|string_stop|limb_bolts)\.[a-z_]+)$/.test(one.field) && !WHOLE.has(one.field));
  const elsewhere = refusal.errors.filter((one) => !here.includes(one));
  const few = refusal.errors.some((one) => one.field === "bow");
  const missing = here.some((one) => one.given === "left out");
  // Any of the figures may be the one that is wrong.
  const shown = few ? agreeing(model.job.value.bow).map((field) => ({ field, rule: "", remedy: "" })) : here;
  return html`<section class="bow-without" aria-label="Why there is no answer">
    <h2>${few ? "Hardly any bow agrees with these figures" : missing ? "The bow is not known well enough yet" : "These figures cannot be answered from"}</h2>
    ${elsewhere.length === 0 ? null : html`<ul class="warned">${elsewhere.map((one) => html`<li>${fractions(fieldInWords(model.job.value, one.field))}${
      one.given ? html`, <i>${fractions(one.given)}</i>` : ""}: ${fractions(one.rule)}; <b>${fractions(one.remedy)}</b></li>`)}</ul>`}
    ${shown.length === 0 ? null : html`<ul class="bow-needed">${shown.map((one) => html`<${Needed} key=${one.field} model=${model} one=${one} />`)}</ul>`}
    ${refusal.errors.length === 0 ? html`<p>${refusal.said}</p>` : null}
  </section>`;
}

/** Tables of a job that a bow of its kind may not have; no one value mends them. */
const WHOLE = new Set(["bow.guard", "bow.limb_bolts"]);

/** A bow's kind in words. */
const kindOf = ({ kind, crossbow }) => (kind === "crossbow" && crossbow !== undefined ? `${crossbow} crossbow` : kind);

/** Turns, which a job holds as numbers. */
const COUNT = /^bow\.limb_bolts\.(out|upper|lower|most)$/;

/** What bows have to agree with. */
const agreeing = (bow) => [bow.kind.endsWith("-cam") || bow.crossbow === "compound" ? "axle_to_axle" : "bow_length", "brace_height", "draw_length", "draw_weight",
  ...["let_off", "stored_energy"].filter((name) => bow[name] !== undefined)].map((name) => `bow.${name}`);

/** What the bows are held to, to be mended or made surer. */
function Known({ model }) {
  const { bow } = model.job.value;
  const wheels = bow.kind.endsWith("-cam") || bow.crossbow === "compound";
  const more = [...(wheels ? ["bow.let_off"] : []), ...(bow.kind === "crossbow" ? ["bow.rail"] : [])];
  const fields = [...new Set([...agreeing(bow), ...more])];
  const open = more.filter((field) => readField(model.job.value, field) === undefined).map((field) => named(model, field));
  return html`<${Fold} klass="bow-known" title="What is known of the bow" said=${open.length > 0 ? `surer with ${open.join(" and ")}` : ""}>
    <dl class="bow-shot">${fields.map((field) => html`<div key=${field}><dt>${named(model, field)}</dt><dd>
      <${Keyed} model=${model} field=${field} value=${readField(model.job.value, field)} label=${`${named(model, field)} of the bow`} empty="measure it" klass="strong" /></dd></div>`)}</dl>
    <p class="wait small">As measured before the press; every bow that answers here has these.</p>
  <//>`;
}

/** A field of the bow in words. */
const named = (model, field) => (field === "bow.rail" ? "width of the rail" : fieldInWords(model.job.value, field).replace(/^bow, /, "").replace("let off", "let-off"));

/** A figure to be given or mended, with why. */
function Needed({ model, one: { field, rule, remedy } }) {
  const words = named(model, field);
  return html`<li><span>${words}</span>
    <${Keyed} model=${model} field=${field} value=${readField(model.job.value, field)} label=${words} empty=${field === "bow.crossbow" ? "recurve or compound" : "measure it"} klass="strong"
      read=${COUNT.test(field) ? numberOrText : undefined} />
    ${rule ? html`<span class="wait small">${fractions(rule)}; <b>${fractions(remedy)}</b></span>` : null}</li>`;
}

/** A first guess at the room there is, so that most openings draw once. */
function firstRoom() {
  const wide = document.documentElement.clientWidth;
  const width = Math.max(Math.floor(Math.min(wide, 1440) - 2 * Math.min(Math.max(wide * 0.04, 16), 48)), 320);
  return { width, plot: Math.min(width, 520) };
}
