/** Values keyed in place, beside what they measure; what is wrong stands at the field and keeps what was typed. */
import { useId, useState } from "preact/hooks";
import { fractions, html } from "../lib/dom.js";

/** @typedef {import("../models/line_model.js").LineModel} LineModel */

/**
 * What is wrong with a value and what mends it.
 * @param {{id?: string, wrong: {rule: string, remedy: string, about?: string}|undefined}} props
 */
export function Wrong({ id, wrong }) {
  if (!wrong) return null;
  return html`<span class="wrong" id=${id}>${wrong.about ? `${wrong.about}: ` : ""}${fractions(wrong.rule)}${
    wrong.remedy ? html`; <b>${fractions(wrong.remedy)}</b>` : ""}</span>`;
}

/**
 * A value that reads as text and can be keyed over. Enter or leaving it saves; Escape gives up.
 * @param {{model: LineModel, field: string, value: any, label: string, klass?: string,
 *   changes?: (value: any) => {field: string, value: any}[], read?: (typed: string) => any, empty?: string}} props
 *   `read` makes the saved value of what was typed, `changes` what is saved with it
 */
export function Keyed({ model, field, value, label, klass = "", read = (typed) => typed, empty = "",
  changes = (saved) => [{ field, value: saved }] }) {
  const [typed, setTyped] = useState(/** @type {string|null} */ (null));
  const id = useId();
  const wrong = model.wrong.value[field];
  const kept = String(value ?? "");
  const shown = typed ?? (wrong ? String(wrong.given ?? "") : kept);
  const send = async (/** @type {string} */ text) => {
    await model.change(changes(text === "" ? null : read(text)));
    setTyped(null);
  };
  const leave = () => {
    if (typed === null) return;
    if (typed !== kept) { void send(typed.trim()); return; }
    setTyped(null);
    model.forgive(field);
  };
  const keys = (/** @type {any} */ event) => {
    // Enter on a refused value tries it again, though nothing was typed since.
    if (event.key === "Enter" && typed === null && wrong) void send(shown.trim());
    else if (event.key === "Enter") leave();
    else if (event.key === "Escape") { setTyped(null); model.forgive(field); } else return;
    event.preventDefault();
  };
  return html`<span class="keyed-box"><input class=${`keyed ${klass}`} aria-label=${label} value=${shown} placeholder=${empty}
      size=${Math.max(shown.length, empty.length, 2)} autocomplete="off" spellcheck=${false}
      aria-invalid=${wrong ? "true" : null} aria-describedby=${wrong ? id : null} data-field=${field}
      onInput=${(e) => setTyped(e.currentTarget.value)} onBlur=${leave} onKeyDown=${keys} />
    <${Wrong} id=${id} wrong=${wrong} /></span>`;
}

/**
 * One of a few, chosen in place.
 * @param {{model: LineModel, field: string, value: any, label: string, options: {name: any, label: string}[],
 *   read?: (chosen: string) => any}} props
 */
export function Chosen({ model, field, value, label, options, read = (chosen) => (chosen === "" ? null : chosen) }) {
  const id = useId();
  const wrong = model.wrong.value[field];
  const now = String(value ?? "");
  const all = options.some((one) => String(one.name) === now) ? options : [{ name: now, label: now || "not said" }, ...options];
  return html`<span class="keyed-box"><select class="keyed" aria-label=${label} aria-invalid=${wrong ? "true" : null}
      aria-describedby=${wrong ? id : null} data-field=${field} value=${now}
      onChange=${(e) => model.change([{ field, value: read(e.currentTarget.value) }])}>
      ${all.map((one) => html`<option value=${one.name} selected=${String(one.name) === now}>${fractions(one.label)}</option>`)}
    </select><${Wrong} id=${id} wrong=${wrong} /></span>`;
}

/**
 * A thread's or strand's colour, the user's own.
 * @param {{model: LineModel, field: string, value: string, label: string}} props
 */
export function Coloured({ model, field, value, label }) {
  return html`<input type="color" class="swatch" aria-label=${label} title=${label} value=${value} data-field=${field}
    onChange=${(e) => model.change([{ field, value: e.currentTarget.value.toUpperCase() }])} />`;
}
