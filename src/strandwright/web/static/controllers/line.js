/** The line on its strip: seen, changed in place, and sent to the bench. */
import { useEffect, useMemo, useRef } from "preact/hooks";
import { counted, fractions, html } from "../lib/dom.js";
import { addressOf } from "../lib/route.js";
import { outbox } from "../models/bench_outbox.js";
import { fieldInWords } from "../models/job_fields.js";
import { LineModel } from "../models/line_model.js";
import { mark, nameScreen, pictureTheme } from "../models/shell.js";
import { useChoices } from "./choices.js";
import { Keyed } from "./keyed.js";
import { Asked, useContact } from "./line_contact.js";
import { Details } from "./line_details.js";
import { Budget, Facts, Loads, Warnings } from "./line_facts.js";
import { Ends, MakeUp } from "./line_makeup.js";
import { Marks, Servings } from "./line_servings.js";
import { Strip } from "./line_strip.js";
import { Worth } from "./line_worth.js";
import { LaidIn } from "./line_laid.js";
import { Yoke } from "./line_yoke.js";

/** @param {{id: string}} props */
export function Screen({ id }) {
  const model = useMemo(() => new LineModel(id), [id]);
  const choices = useChoices();
  useEffect(() => { model.draw(firstWidth(), pictureTheme.peek()); void model.load(); }, [model]);
  const contact = useContact(model);
  const heard = mark.value;
  useEffect(() => { void model.look(); }, [heard]);
  useEffect(() => listenForUndo(model), [model]);
  const name = model.job.value?.name ?? "";
  useEffect(() => { if (name !== "") nameScreen(name); }, [name]);

  if (model.state.value === "fetching") return html`<p class="loading">Fetching the line…</p>`;
  if (model.state.value === "failed") {
    return html`<section class="page"><h1>This line could not be fetched</h1><p>${model.said}</p>
      <p class="acts"><button class="act" onClick=${() => { model.state.value = "fetching"; void model.load(); }}>Fetch it again</button>
        <a class="plain" href="#/">Go to the jobs at hand</a></p></section>`;
  }
  const view = model.view.value;
  return html`<section class="page line-page">
    <${Head} model=${model} />
    <${Notice} model=${model} />
    ${view === null ? html`<${Refusals} model=${model} />` : html`
      <${Strip} model=${model} contact=${contact} />
      <${Asked} model=${model} contact=${contact} />
      <${Facts} model=${model} />
      <${Warnings} view=${view} />`}
    <div class="line-parts">
      <div class="line-main">
        <${Servings} model=${model} choices=${choices} />
        <${Marks} model=${model} />
        ${view === null ? null : html`<${Loads} view=${view} /><${Details} sections=${view.plan.details ?? []} view=${view} /><${Worth} view=${view} />`}
      </div>
      <div class="line-side">
        <${MakeUp} model=${model} choices=${choices} />
        <${Ends} model=${model} choices=${choices} />
        <${Yoke} model=${model} />
        <${LaidIn} model=${model} />
        ${view === null ? null : html`<${Budget} view=${view} />`}
      </div>
    </div>
  </section>`;
}

/** Name, who for, what can be done with it. */
function Head({ model }) {
  const job = model.job.value;
  const saved = model.saving.value ? "saving…" : `revision ${model.revision.value}, saved`;
  return html`<header class="page-head line-head">
    <div>
      <h1 class="unseen">${job.name}</h1>
      <${Keyed} model=${model} field="name" value=${job.name} label="name of the job" klass=${job.name.length > 24 ? "as-head long" : "as-head"} />
      <p class="wait line-for">
        <${Keyed} model=${model} field="customer" value=${job.customer} label="customer" empty="customer" klass="soft" />
        <span class="line-of">${job.bow.name || job.bow.kind} · ${model.id} · ${saved}</span></p>
    </div>
    <div class="acts">
      <button type="button" class="act" disabled=${!model.canUndo.value || model.saving.value} aria-keyshortcuts="Control+Z" onClick=${() => model.undo()}>Undo</button>
      <button type="button" class="act" disabled=${!model.canRedo.value || model.saving.value} aria-keyshortcuts="Control+Shift+Z Control+Y" onClick=${() => model.redo()}>Redo</button>
      ${model.view.value === null ? null : html`<a class="act" href=${`${model.path}/sheet.pdf`} target="_blank">Sheet, PDF</a>`}
      <a class="act" href=${addressOf("bow", model.id)}>The bow of this line</a>
      <a class="act" href=${addressOf("new", model.id)}>Another line for this bow</a>
      <a class="act" href=${`${model.path}/job.toml`} download=${`${model.id}.toml`}>Job file</a>
      <${Start} model=${model} />
    </div>
  </header>`;
}

/** The one next act: to the jig. */
function Start({ model }) {
  // A second press while the first goes to the disk is the same wish.
  const begun = useRef(false);
  const going = model.builds.value.find((build) => build.state === "building")?.id
    ?? outbox.pending.value.find((item) => item.job === model.id)?.build;
  if (going) return html`<a class="act next" href=${addressOf("jig", going)}>Go on at the jig</a>`;
  if (model.view.value === null) return null;
  const start = async () => {
    if (begun.current) return;
    begun.current = true;
    try {
      location.hash = addressOf("jig", await outbox.begin(model.id));
    } catch (error) {
      begun.current = false;
      model.notice.value = { said: `The build was not started: this browser could not keep the wish. ${error?.message ?? error}`, lines: [] };
    }
  };
  return html`<button type="button" class="act next" onClick=${start}>Start building</button>`;
}

function Notice({ model }) {
  const notice = model.notice.value;
  if (notice === null) return null;
  return html`<div class="told" role="alert"><p>${notice.said}</p>
    ${notice.lines.length > 0 ? html`<ul>${notice.lines.map((line) => html`<li>${fractions(line)}</li>`)}</ul>` : null}
    <p><button type="button" class="plain small" onClick=${() => { model.notice.value = null; }}>Seen</button></p></div>`;
}

/** A job that cannot be planned says why, and each field below can be mended. */
function Refusals({ model }) {
  const found = model.refusals.value;
  return html`<section class="told" aria-label="Why it cannot be planned">
    <h2>This line cannot be planned yet</h2>
    <p>${found.length === 0 ? "The program gave no reason." : `${counted(found.length, "thing stands", "things stand")} in the way. Mend it below, or in the job file.`}</p>
    <ul>${found.map((one) => html`<li>${fractions(fieldInWords(model.job.value, one.field))}${one.given ? html`, <i>${fractions(one.given)}</i>` : ""}: ${fractions(one.rule)}; <b>${fractions(one.remedy)}</b></li>`)}</ul>
  </section>`;
}

/** Undo by keys, except where a text is being keyed and the browser's own undo is meant. */
function listenForUndo(/** @type {LineModel} */ model) {
  const keys = (/** @type {KeyboardEvent} */ event) => {
    if (!(event.ctrlKey || event.metaKey) || event.altKey) return;
    const key = event.key.toLowerCase();
    const typing = event.target instanceof HTMLInputElement && event.target.value !== event.target.defaultValue;
    if (typing || (key !== "z" && key !== "y")) return;
    event.preventDefault();
    void (key === "y" || event.shiftKey ? model.redo() : model.undo());
  };
  addEventListener("keydown", keys);
  return () => removeEventListener("keydown", keys);
}

/** A first guess at the room the strip has, so that most openings draw it once. */
const firstWidth = () => Math.max(Math.floor(Math.min(document.documentElement.clientWidth, 1440)
  - 2 * Math.min(Math.max(document.documentElement.clientWidth * 0.04, 16), 48)), 320);
