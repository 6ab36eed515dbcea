/** What a shop wants to know besides: the peep, what is tied on, the separator, rules. */
import { fractions, html } from "../lib/dom.js";
import { Drawn } from "./drawn.js";

/** @param {{sections: any[], view?: any}} props */
export function Details({ sections, view = {} }) {
  return sections.map((section) => html`<section key=${section.key + section.title} class="details" data-details=${section.key}><h2>${fractions(section.title)}</h2>
    <dl class="detail-rows">${section.rows.map((row, k) => html`<div key=${k} data-finding=${section.key === "rules" ? row.name : ""}>
      <dt>${fractions(row.name)}</dt><dd>${fractions(row.text)}${row.said ? html`<span class="wait small detail-said">${fractions(row.said)}</span>` : null}</dd></div>`)}</dl>
    ${view.yoke && section.key === (view.plan.yoke.made === "strap" ? "yoke" : "yoke-lean") ? html`<${Drawn} svg=${view.yoke} klass="yoke-drawn" />` : null}
    ${section.notes.map((note) => html`<p key=${note} class="wait small">${fractions(sentence(note))}</p>`)}</section>`);
}

/** A note as a sentence. */
const sentence = (/** @type {string} */ text) => `${text.charAt(0).toUpperCase()}${text.slice(1)}.`;
