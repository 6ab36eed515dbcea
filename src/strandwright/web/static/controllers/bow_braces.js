/** Brace height against turns, on a bow whose string sets it: what is wanted, drawn, and as a table. */
import { bound, fractions, html, Value } from "../lib/dom.js";
import { Picture } from "./bow_drawn.js";

/** @typedef {import("../models/bow_model.js").BowModel} BowModel */

/** @param {{model: BowModel}} props */
export function Braces({ model }) {
  const { data, brace_plot: plot } = model.answers.value;
  const { braces } = data;
  if (braces === null || plot === null) return null;
  return html`<section class="bow-braces" id="bow-braces"><h2>Brace height by turns</h2>
    <div class="bow-braces-parts">
      <div class="bow-braces-said">
        ${braces.wanted_text === "" ? null : html`<p class="bow-braces-wanted">For <b>${fractions(braces.wanted_text)}</b>: ${bound(braces.turns_text)}.</p>`}
        <p>It stands at <${Value} text=${braces.start_text} />; ${braces.from_text}. The next turn: <${Value} text=${braces.one_turn_text} />.</p>
        <p class="bow-braces-usual">${fractions(capital(braces.usual_text))}.</p>
        <p class="wait small">${fractions(capital(braces.on_bow_text))}.</p>
      </div>
      <div class="bow-braces-drawn">
        <div class="bow-plot" style=${{ aspectRatio: `${plot.width} / ${plot.height}` }}><${Picture} svg=${plot.svg} /></div>
        <p class="wait small">The point at 0 is the string as it is${braces.turns === null ? "" : ", the amber point what is wanted"}; the blue band is its ±, the amber band what practice gives.</p>
      </div>
    </div>
    <details class="bow-fold"><summary>Turn by turn, as a table</summary>
      <table class="rows stack bow-braces-rows"><caption class="unseen">Brace height by turns</caption>
        <thead><tr>${HEADS.map(([, head]) => html`<th scope="col">${head}</th>`)}</tr></thead>
        <tbody>${braces.rows.map((row) => html`<tr key=${row.put}><th scope="row">${row.put_text}</th>
          ${HEADS.slice(1).map(([key, head]) => html`<td data-label=${head}>${key === "usual" ? (row.usual ? "in its range" : "outside") : html`<${Value} text=${row[key]} />`}</td>`)}</tr>`)}</tbody></table>
    </details>
  </section>`;
}

/** Columns of the table: what is shown, and its head. */
const HEADS = [["put_text", "turns"], ["turns_text", "then in"], ["longer_text", "string longer by"],
  ["brace_text", "brace height"], ["tension_text", "pulls at brace"], ["usual", "practice"]];

const capital = (/** @type {string} */ text) => text.charAt(0).toUpperCase() + text.slice(1);
