/** Under the strip: the lane of what the bow touches, and what that asks of each serving. */
import { useEffect, useMemo } from "preact/hooks";
import { fractions, html } from "../lib/dom.js";
import { addressOf } from "../lib/route.js";
import { ContactModel } from "../models/contact_model.js";
import { fieldInWords } from "../models/job_fields.js";
import { pictureTheme } from "../models/shell.js";
import { Picture } from "./bow_drawn.js";
import { Verdict } from "./verdict.js";

/** @typedef {import("../models/line_model.js").LineModel} LineModel */

/** The line comes first: the bow is looked at once nothing was changed for so long [ms]. */
const REST = 500;

/**
 * Look at the bow of a line whenever what is kept of it, or the room for it, is another.
 * @param {LineModel} model
 * @returns {ContactModel}
 */
export function useContact(model) {
  const contact = useMemo(() => new ContactModel(model.path), [model]);
  const { value: theme } = pictureTheme;
  const { value: revision } = model.revision;
  const width = model.view.value?.strip.width ?? 0;
  const held = model.dragged.value !== null || model.saving.value;
  useEffect(() => {
    if (width === 0 || held) return undefined;
    const timer = setTimeout(() => void contact.ask(width, theme), REST);
    return () => clearTimeout(timer);
  }, [contact, revision, width, theme, held]);
  useEffect(() => () => contact.leave(), [contact]);
  return contact;
}

/** The lane, on the strip's own scale. @param {{model: LineModel, contact: ContactModel}} props */
export function Lane({ model, contact }) {
  const { strip } = model.view.value;
  const answer = contact.answer.value;
  if (answer === null) {
    return html`<div class="strip-lane"><p class="wait small" role="status">${contact.said.value === "" ? "Looking at the bow…" : ""}</p></div>`;
  }
  const { lane } = answer;
  if (lane === null) return null;
  // Drawn for another width it would lie beside its places.
  const fits = lane.width === strip.width;
  return html`<div class="strip-lane" data-old=${contact.looking.value || !fits ? "yes" : null} style=${{ width: `${strip.width}px` }}>${
    fits ? html`<${Picture} svg=${lane.svg} />` : null}</div>`;
}

/** What the bow asks of each serving, or what is missing to know it. @param {{model: LineModel, contact: ContactModel}} props */
export function Asked({ model, contact }) {
  const answer = contact.answer.value;
  const looking = contact.looking.value;
  return html`<section class="contact" aria-label="What the bow asks of the servings" aria-busy=${looking || answer === null ? "true" : "false"}>
    ${answer === null ? null : html`<${Verdicts} model=${model} answer=${answer} looking=${looking} />`}
    ${contact.said.value === "" ? null : html`<p class="small wrong" role="alert">What the bow touches could not be fetched. ${contact.said.value}
      <button type="button" class="plain small" onClick=${() => void contact.ask(model.view.value.strip.width, pictureTheme.peek())}>Fetch it again</button></p>`}
  </section>`;
}

function Verdicts({ model, answer, looking }) {
  if (answer.errors.length > 0) return html`<${Unknown} model=${model} errors=${answer.errors} />`;
  return html`<ul class="contact-rows">${answer.servings.map((row) => html`<${Verdict} key=${row.name} row=${row} />`)}</ul>
    <p class="wait small" role="status">${answer.lane === null ? `The bow touches nothing of the ${answer.line}. ` : ""}${
      looking ? "Looking at the bow again…" : `By ${fractions(answer.source_text.split(";")[0])}.`} <a href=${addressOf("bow", model.id)}>See why at the bow</a></p>`;
}

/** Which figures of the bow are missing, and where they are given. */
function Unknown({ model, errors }) {
  const missing = errors.filter((one) => one.given === "left out").map((one) => named(model, one.field));
  const other = errors.filter((one) => one.given !== "left out");
  return html`<p class="wait small">What the bow touches of this line, and so what each serving needs, is not known yet.
      ${missing.length > 0 ? ` ${missing.length > 1 ? "These figures of the bow are" : "This figure of the bow is"} missing: ${missing.join(", ")}.` : ""}</p>
    ${other.length === 0 ? null : html`<ul class="small wait">${other.map((one) => html`<li>${named(model, one.field)}${one.given ? html`, <i>${fractions(one.given)}</i>` : ""}: ${fractions(one.rule)}; ${fractions(one.remedy)}</li>`)}</ul>`}
    <p class="small"><a href=${addressOf("bow", model.id)}>${missing.length > 0 ? "Give it at the bow of this line" : "Mend it at the bow of this line"}</a></p>`;
}

const named = (model, field) => fieldInWords(model.job.value, field).replace(/^bow, /, "").replace("let off", "let-off");
