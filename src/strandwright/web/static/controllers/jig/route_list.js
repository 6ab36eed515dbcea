/** The route: every step with what is done, to look at any of them. */
import { Value, html } from "../../lib/dom.js";

export function RouteList({ view, chosen, onChoose }) {
  const now = chosen ?? view.act?.step;
  return html`
    <div class="jig-body">
      <h1>The route</h1>
      <ol class="jig-route">
        ${view.steps.map((step) => html`<li key=${step.id} data-done=${step.done ? "" : null} data-now=${step.id === now ? "" : null}>
          <button type="button" aria-current=${step.id === now ? "step" : null} onClick=${() => onChoose(step.id)}>
            <span class="jig-number">${step.done ? "✓" : step.number}</span>
            <span class="jig-what"><b>${step.title}</b> <span class="wait"><${Value} text=${step.headline} /></span></span>
            <span class="jig-mark">${markOf(step, view)}</span>
          </button></li>`)}
      </ol>
      <p class="wait">Choose a step to look at it, do it in another order, or take back what was recorded.</p>
    </div>`;
}

function markOf(step, view) {
  if (step.done) return step.waiting ? "done, kept here" : "done";
  return step.id === view.act?.step ? "the next act" : "";
}
