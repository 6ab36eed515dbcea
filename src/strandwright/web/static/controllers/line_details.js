/** What a shop wants to know besides: the peep, what is tied on, the separator, rules. */
import { fractions, html } from "../lib/dom.js";

/** @param {{sections: any[]}} props */
export function Details({ sections }) {
  return sections.map((section) => html`<section key=${section.key + section.title} class="details" data-details=${section.key}><h2>${section.title}</h2>
    <dl class="detail-rows">${section.rows.map((row, k) => html`<div key=${k} data-finding=${section.key === "rules" ? row.name : ""}>
      <dt>${fractions(row.name)}</dt><dd>${fractions(row.text)}${row.said ? html`<span class="wait small detail-said">${fractions(row.said)}</span>` : null}</dd></div>`)}</dl>
    ${section.notes.map((note) => html`<p key=${note} class="wait small">${fractions(sentence(note))}</p>`)}</section>`);
}

/** A note as a sentence. */
const sentence = (/** @type {string} */ text) => `${text.charAt(0).toUpperCase()}${text.slice(1)}.`;
