/** Photos that paired phones sent to this bench, to be taken into what is being written. */
import { html } from "../lib/dom.js";
import { useFetched } from "../models/fetched.js";
import { held } from "../models/photos.js";
import { may, visitor } from "../models/visitor.js";
import { momentText } from "./parts.js";

/**
 * @param {{names: string[], onTaken: (name: string) => void}} props names: those that are taken already
 */
export function FromPhones(props) {
  // Without a door no phone is paired; a phone takes nothing from another.
  return visitor.value === null || !may("counter") ? null : html`<${Sent} ...${props} />`;
}

function Sent({ names, onTaken }) {
  const fetched = useFetched("/api/pairings/photos");
  const sent = (fetched.value.value?.photos ?? []).filter((one) => !names.includes(one.id));
  if (sent.length === 0) return null;
  const take = (name) => { held.value = { ...held.peek(), [name]: `/api/photos/${name}` }; onTaken(name); };
  return html`<details class="from-phones"><summary>From a phone: ${sent.length}</summary><div class="photos">
    ${sent.map((one) => html`<figure key=${one.id}><img src=${`/api/photos/${one.id}`} alt=${`picture from ${one.label}`} loading="lazy" />
      <figcaption class="wait small">${one.label}, ${momentText(one.at)}</figcaption><button type="button" class="act" onClick=${() => take(one.id)}>Take it</button></figure>`)}</div></details>`;
}
