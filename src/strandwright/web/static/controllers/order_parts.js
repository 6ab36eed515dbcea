/** Small parts of the counter: units, photos, the head of a part of the walk. */
import { useState } from "preact/hooks";
import { html } from "../lib/dom.js";
import { chooseUnits, units } from "../models/order_draft.js";
import { photoAddress, takeIn } from "../models/photos.js";
import { FromPhones } from "./from_phones.js";
import { Field } from "./parts.js";

/** Units of figures that are typed bare. @param {{id: string}} props */
export function Units({ id }) {
  return html`<${Field} label="bare figures are in" id=${id}><select id=${id} onChange=${(e) => chooseUnits(e.currentTarget.value)}>
    <option value="in" selected=${units.value === "in"}>inches and pounds</option><option value="mm" selected=${units.value === "mm"}>millimetres and newtons</option></select><//>`;
}

/** A part of the walk. @param {{id: string, title: string, said?: string, children: any}} props */
export function Part({ id, title, said = "", children }) {
  return html`<section class="order-part" id=${id}><h2 tabindex="-1">${title}</h2>${said ? html`<p class="wait">${said}</p>` : null}${children}</section>`;
}

/**
 * Pictures with a way to take more; taken by the camera or chosen from files.
 * @param {{names: string[], kept?: string[], label: string, onTaken?: (name: string) => void, onDropped?: (name: string) => void}} props
 */
export function Photos({ names, kept = [], label, onTaken, onDropped }) {
  const [busy, setBusy] = useState(0);
  const [wrong, setWrong] = useState("");
  const take = async (/** @type {any} */ event) => {
    const files = [...event.currentTarget.files];
    event.currentTarget.value = "";
    setWrong(""); setBusy(files.length);
    for (const file of files) {
      try { onTaken?.(await takeIn(file)); } catch (error) { setWrong(error.message); }
      setBusy((left) => left - 1);
    }
  };
  return html`<div class="photos">
    ${names.map((name) => [name, photoAddress(name, kept.includes(name))]).filter(([, address]) => address !== "").map(([name, address]) => html`<figure key=${name}><img src=${address} alt=${`picture ${name.slice(0, 6)}`} />
      ${onDropped ? html`<button type="button" class="plain small" onClick=${() => onDropped(name)}>leave it out</button>` : null}</figure>`)}
    ${onTaken ? html`<label class="act file">${busy > 0 ? "Scaling down…" : label}<input type="file" accept="image/*" multiple aria-label=${label} onChange=${take} /></label>` : null}
    ${onTaken ? html`<${FromPhones} names=${names} onTaken=${onTaken} />` : null}
    ${wrong ? html`<p class="wrong" role="alert">${wrong}</p>` : null}</div>`;
}
