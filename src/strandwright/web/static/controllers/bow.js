/** The bow of a line: drawn, tuned, and what it says of the line. */
import { useEffect, useMemo } from "preact/hooks";
import { fractions, html } from "../lib/dom.js";
import { addressOf } from "../lib/route.js";
import { BowModel } from "../models/bow_model.js";
import { fieldInWords } from "../models/job_fields.js";
import { mark, nameScreen, pictureTheme } from "../models/shell.js";
import { Drawn } from "./bow_drawn.js";
import { Home } from "./bow_home.js";
import { Neglected, Speed, Touched, Turns } from "./bow_parts.js";
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
  const name = bow ? bow.name || bow.kind : "";
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
    ${model.answers.value === null ? html`<${NotYet} model=${model} />` : html`
      <${Drawn} model=${model} />
      <${Home} model=${model} />
      <${Turns} model=${model} />
      <${Touched} model=${model} />
      <${Speed} model=${model} />
      <${Neglected} model=${model} />`}
  </section>`;
}

function Head({ model, name }) {
  const job = model.job.value;
  const source = model.answers.value?.data.source_text;
  return html`<header class="page-head bow-head">
    <div><h1>${name}</h1>
      <p class="wait">${[name === job.bow.kind ? "" : job.bow.kind, job.name, job.line.name].filter(Boolean).join(" · ")}</p>
      ${source ? html`<p class="wait small" role="status">${model.looking.value ? "Working it out anew…" : html`Answered from ${fractions(source)}.`}</p>` : null}</div>
    <div class="acts"><a class="act" href=${addressOf("line", model.id)}>Back to the line</a></div>
  </header>`;
}

/** While bows are looked for, or why none can be. */
function NotYet({ model }) {
  const refusal = model.refusal.value;
  if (model.looking.value || refusal === null) {
    return html`<p class="bow-looking" role="status">${model.looking.value
      ? "Looking for bows that agree with yours… The first time this takes some seconds." : ""}</p>`;
  }
  const wheels = refusal.errors.some((one) => one.field === "bow.kind");
  if (wheels) {
    return html`<section class="bow-without" aria-label="Why there is no answer"><h2>This bow has no wheels</h2>
      <p>Bows are modelled here by their wheels, so there is nothing to draw for a ${model.job.value.bow.kind}.
        Tune it by its own readings: brace height and tiller before a turn and after it.</p></section>`;
  }
  const here = refusal.errors.filter((one) => /^bow\.[a-z_]+$/.test(one.field));
  const elsewhere = refusal.errors.filter((one) => !here.includes(one));
  return html`<section class="bow-without" aria-label="Why there is no answer"><h2>The bow is not known well enough yet</h2>
    ${here.length === 0 ? null : html`<ul class="bow-needed">${here.map((one) => {
      const words = fieldInWords(model.job.value, one.field).replace(/^bow, /, "");
      const kept = model.job.value.bow[one.field.slice(4)] ?? "";
      return html`<li key=${one.field}><span class="bow-needed-name">${words}</span>
        <${Keyed} model=${model} field=${one.field} value=${kept} label=${words} empty="measure it" klass="strong" />
        <span class="wait small">${fractions(one.rule)}; <b>${fractions(one.remedy)}</b></span></li>`;
    })}</ul>`}
    ${elsewhere.length === 0 ? null : html`<ul class="warned">${elsewhere.map((one) => html`<li>${fractions(fieldInWords(model.job.value, one.field))}${
      one.given ? html`, <i>${fractions(one.given)}</i>` : ""}: ${fractions(one.rule)}; <b>${fractions(one.remedy)}</b></li>`)}</ul>`}
    ${refusal.errors.length === 0 ? html`<p>${refusal.said}</p>` : null}
  </section>`;
}

/** A first guess at the room there is, so that most openings draw once. */
function firstRoom() {
  const wide = document.documentElement.clientWidth;
  const width = Math.max(Math.floor(Math.min(wide, 1440) - 2 * Math.min(Math.max(wide * 0.04, 16), 48)), 320);
  return { width, plot: Math.min(width, 520) };
}
