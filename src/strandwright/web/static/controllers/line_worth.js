/** What would make the line land more surely: each thing that could be done, what it gains, what it costs. */
import { bound, fractions, html } from "../lib/dom.js";

/** Rows that stand open; the rest can be asked for. */
const MOST_ROWS = 5;

/** @param {{view: any}} props */
export function Worth({ view }) {
  const landing = view.plan.landing;
  const remedies = landing.remedies ?? [];
  const worth = (landing.readings ?? []).filter((reading) => reading.when === "now" && !reading.asked);
  return html`<section class="worth"><h2>What would make it surer</h2>
    <p class="wait small">${bound(`As planned, ${landing.chances_said}.`)}</p>
    ${remedies.length === 0 ? html`<p class="small">Nothing would make one line in a hundred more come out.</p>` : html`
      <${Remedies} rows=${remedies.slice(0, MOST_ROWS)} now=${landing} />
      ${remedies.length > MOST_ROWS ? html`<details><summary>What helps less</summary>
        <${Remedies} rows=${remedies.slice(MOST_ROWS)} now=${landing} /></details>` : null}`}
    ${worth.length === 0 ? null : html`<p class="small">Worth reading beside what is asked for: ${worth.map((reading) => reading.title).join("; ")}.</p>`}
  </section>`;
}

function Remedies({ rows, now }) {
  return html`<table class="rows remedies"><thead><tr><th scope="col">if you</th><th scope="col">at the first proof</th>
      <th scope="col">corrected</th><th scope="col" class="last">costs</th></tr></thead>
    <tbody>${rows.map((row) => html`<tr key=${row.name}><th scope="row">${fractions(row.name)}</th>
      <td data-label="at the first proof"><${Then} now=${now.chance_first_text} then=${row.chance_first_text} /></td>
      <td data-label="corrected"><${Then} now=${now.chance_text} then=${row.chance_text} /></td>
      <td class="last" data-label="costs">${bound(row.cost_text)}</td></tr>`)}</tbody></table>`;
}

/** A chance now and then; where it stays as it is, it is said once. */
function Then({ now, then }) {
  if (now === then) return html`<span class="wait">${bound(then)}</span>`;
  return html`<span class="then">${bound(now)} → <b>${bound(then)}</b></span>`;
}
