/** What is told of wear and age, source by source, beside the line's own record. */
import { fractions, html } from "../lib/dom.js";

/** @param {{wear: any}} props */
export function Wear({ wear }) {
  return html`<section class="service-wear"><h2>What is told of wear and age</h2><p class="wait">${wear.disagree}</p>
    <div class="service-groups">${wear.groups.map((group) => html`<section key=${group.about}><h3>${group.title}</h3>
      <ul>${group.limits.map((limit) => html`<li data-now=${limit.now || null}>
        <span>${fractions(limit.said)}${limit.now ? html` <b class="service-reached">${limit.now === "passed" ? "passed by this line" : "reached by this line"}</b>` : null}</span>
        <span class="wait small">${limit.source}; ${limit.kind}</span>
        ${limit.note ? html`<span class="wait small">${limit.note}</span>` : null}</li>`)}</ul></section>`)}</div></section>`;
}
