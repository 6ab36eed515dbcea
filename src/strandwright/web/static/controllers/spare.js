/** A matched spare that was made: what it took from the record, and in what it is not the same. */
import { useState } from "preact/hooks";
import { bound, fractions, html } from "../lib/dom.js";
import { addressOf } from "../lib/route.js";
import { announce } from "../models/shell.js";
import { makeSpare } from "../models/spare.js";
import { Failure } from "./parts.js";

/**
 * The button, and what came of it.
 * @param {{build: {id: string, job: string, name: string}, label?: string}} props
 */
export function MatchedSpare({ build, label = "Make a matched spare" }) {
  const [made, setMade] = useState(/** @type {any} */ (null));
  const [failure, setFailure] = useState(/** @type {any} */ (null));
  const [busy, setBusy] = useState(false);
  const make = async () => {
    setBusy(true);
    setFailure(null);
    try { setMade(await makeSpare(build)); announce("The job of a matched spare is made"); } catch (error) { setFailure(error); } finally { setBusy(false); }
  };
  if (made === null) {
    return html`<button type="button" class="act" disabled=${busy} onClick=${() => void make()}>${label}</button>
      <${Failure} failure=${failure} onSeen=${() => setFailure(null)} />`;
  }
  return html`<div class="spare" role="status"><h3>A matched spare: ${made.id}</h3>
    <dl>${made.facts.map((fact) => html`<div><dt>${fact.name}</dt><dd>${fractions(fact.text)}</dd></div>`)}</dl>
    ${made.differences.length > 0 ? html`<p class="small wait">Not the same, or not known to be:</p>
      <ul>${made.differences.map((one) => html`<li>${bound(one.said)}${one.remedy ? html`; <b>${bound(one.remedy)}</b>` : null}</li>`)}</ul>` : null}
    <p class="acts"><a class="act" href=${addressOf("line", made.id)}>Look it over and start</a></p></div>`;
}
