/** Top of the jig: which line, which step, and whether all is saved. */
import { html } from "../../lib/dom.js";
import { outbox } from "../../models/bench_outbox.js";

const PLACES = [["route", "Route"], ["more", "More"]];

export function Head({ advice, number, count, place, onPlace }) {
  return html`
    <header class="jig-head">
      <a class="act" href="#/">Jobs</a>
      <p class="jig-name">${advice.name}${number ? html` <span class="wait">· step ${number} of ${count}</span>` : null}</p>
      <${Saved} />
      <nav aria-label="At the jig">
        ${PLACES.map(([name, text]) => html`
          <button class="act" aria-pressed=${place === name}
            onClick=${() => onPlace(place === name ? "step" : name)}>
            ${place === name ? "Back to the work" : text}</button>`)}
      </nav>
    </header>
    ${outbox.fleeting.value ? html`<p class="jig-harm" role="alert">This browser keeps nothing on its disk
      (${outbox.fleeting.value}): a reload loses what the bench computer has not acknowledged.</p>` : null}
    ${outbox.trouble.value ? html`<p class="jig-harm" role="alert">${outbox.trouble.value}</p>` : null}`;
}

function Saved() {
  const waiting = outbox.pending.value.length;
  const silent = outbox.answers.value === "no";
  const text = waiting === 0
    ? (silent ? "saved ✓ · bench computer silent" : "saved ✓")
    : `${waiting} kept here, ${silent ? "bench computer silent" : "going over"}`;
  return html`<p class="jig-saved" role="status" data-waiting=${waiting} data-silent=${silent}>${text}</p>`;
}
