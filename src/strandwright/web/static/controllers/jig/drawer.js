/** Something small behind a button beside the counter; shut again it gives the keys back to it. */
import { html } from "../../lib/dom.js";

/**
 * Give the keys back to the counter: what a pedal sends next counts. To be called as soon as a hand
 * is done with a field, before anything is waited for: the foot does not wait.
 */
export function handBack() {
  document.activeElement?.blur();
}

export function Drawer({ title, children }) {
  const opened = ({ currentTarget: drawer }) => drawer.open && drawer.querySelector("input")?.focus();
  // A pedal that sends the space bar would else open it again instead of counting.
  const pressed = ({ currentTarget: summary }) => summary.parentElement.open && summary.blur();
  const left = (event) => {
    if (event.key !== "Escape" || !event.currentTarget.open) return;
    event.preventDefault();
    event.currentTarget.open = false;
    handBack();
  };
  return html`<details class="jig-weigh" onToggle=${opened} onKeyDown=${left}><summary class="act" onClick=${pressed}>${title}</summary>${children}</details>`;
}
