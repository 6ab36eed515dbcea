/** Something small behind a button beside the counter; shut again it gives the keys back to it. */
import { html } from "../../lib/dom.js";

export function Drawer({ title, children }) {
  const opened = ({ currentTarget: drawer }) => drawer.open && drawer.querySelector("input")?.focus();
  // A pedal that sends the space bar would else open it again instead of counting.
  const pressed = ({ currentTarget: summary }) => summary.parentElement.open && summary.blur();
  return html`<details class="jig-weigh" onToggle=${opened}><summary class="act" onClick=${pressed}>${title}</summary>${children}</details>`;
}
