/** A line came back: which, why, who stands for it; its job is made again from the record. */
import { useState } from "preact/hooks";
import { ApiError, get, post } from "../lib/api.js";
import { bound, fractions, html } from "../lib/dom.js";
import { addressOf } from "../lib/route.js";
import { followingId } from "../models/again.js";
import { newId } from "../lib/ids.js";
import { announce } from "../models/shell.js";
import { Part } from "./order_parts.js";
import { Failure, Field } from "./parts.js";

const MOST_TRIES = 60;
const WHOSE = [["shop", "the shop"], ["wear", "wear: nobody's fault"], ["bow", "the bow"], ["customer", "the customer"]];
const IN_WORDS = Object.fromEntries(WHOSE);
const NOTHING = { build: "", cause: "", whose: "", said: "" };

/** @param {{page: any, again: () => Promise<void>}} props */
export function CameBack({ page, again }) {
  const [told, setTold] = useState(/** @type {any} */ (null));
  const [failure, setFailure] = useState(/** @type {any} */ (null));
  const fetchIt = async () => {
    try { setTold(await get(`/api/orders/${page.id}/came-back`)); } catch (error) { setFailure(error); }
  };
  if (page.customer === null || page.refused || page.status === "closed") return null;
  return html`<details class="order-part came-back" onToggle=${(e) => { if (e.currentTarget.open && told === null) void fetchIt(); }}><summary>A line came back: make it again</summary>
    <${Failure} failure=${failure} onSeen=${() => setFailure(null)} />
    ${told === null ? null : html`
      ${told.remakes.map((one) => html`<p class="told" key=${one.job}><a href=${addressOf("line", one.job)}>${one.job}</a> is made again: ${one.cause}; ${IN_WORDS[one.whose]} stands for it. ${warrantyText(one.warranty)}</p>`)}
      ${told.lines.length === 0 ? html`<p class="wait">No finished line of ${page.customer.name} is kept here. A line that was made elsewhere is measured like any other.</p>`
        : html`<${Opened} page=${page} told=${told} done=${async () => { await fetchIt(); await again(); }} />`}`}</details>`;
}

/** @param {{within: boolean|null, until: string, said: string}} warranty */
function warrantyText({ within, until, said }) {
  if (within === null) return `Warranty: ${said}.`;
  return `${within ? "Within its warranty, which ends" : "Past its warranty, which ended"} ${until}: ${said}.`;
}

/** @param {{page: any, told: any, done: () => Promise<void>}} props */
function Opened({ page, told, done }) {
  const [typed, setTyped] = useState(NOTHING);
  const [made, setMade] = useState(/** @type {any} */ (null));
  const [failure, setFailure] = useState(/** @type {any} */ (null));
  const [busy, setBusy] = useState(false);
  const line = told.lines.find((one) => one.build === typed.build);
  const cause = told.causes.find((one) => one.name === typed.cause);
  const set = (part) => setTyped({ ...typed, ...part });
  const choose = (name) => set({ cause: name, whose: told.causes.find((one) => one.name === name)?.whose ?? "" });
  const send = async (/** @type {Event} */ event) => {
    event.preventDefault();
    setBusy(true);
    setFailure(null);
    try {
      setMade(await remade(page.id, line, typed));
      announce("The job of the line that is made again is made");
      setTyped(NOTHING);
      await done();
    } catch (error) { setFailure(error); } finally { setBusy(false); }
  };
  return html`<form class="order-form" onSubmit=${send} novalidate>
    <${Field} label="the line that came back" id="back-line"><select id="back-line" onChange=${(e) => set({ build: e.currentTarget.value })}>
      <option value="" selected=${typed.build === ""}>choose it</option>
      ${told.lines.map((one) => html`<option value=${one.build} selected=${typed.build === one.build}>${[one.name, one.bow, one.line].filter(Boolean).join(", ")}</option>`)}</select><//>
    ${line ? html`<p class="wait" role="status">${warrantyText(line.warranty)}</p>` : null}
    <${Field} label="why" id="back-cause"><select id="back-cause" onChange=${(e) => choose(e.currentTarget.value)}>
      <option value="" selected=${typed.cause === ""}>choose what fits best</option>
      ${told.causes.map((one) => html`<option value=${one.name} selected=${typed.cause === one.name}>${one.name}</option>`)}</select><//>
    ${cause ? html`<p class="wait">${bound(cause.look)} Begin at: ${IN_WORDS[cause.whose]} (${cause.source}).</p>` : null}
    <${Field} label="who stands for it" id="back-whose"><select id="back-whose" onChange=${(e) => set({ whose: e.currentTarget.value })}>
      <option value="" selected=${typed.whose === ""}>say who</option>
      ${WHOSE.map(([value, text]) => html`<option value=${value} selected=${typed.whose === value}>${text}</option>`)}</select><//>
    <${Field} label="what was seen, and what was said" id="back-said"><textarea id="back-said" rows="2" value=${typed.said} onInput=${(e) => set({ said: e.currentTarget.value })}>${typed.said}</textarea><//>
    <p class="caution">A line that is cut, or whose serving has come apart, is not drawn, not even to see. Mend what cut it first, or the next one is cut as well.</p>
    <${Failure} failure=${failure} onSeen=${() => setFailure(null)} />
    <div class="acts"><button class="act" disabled=${busy || !line || !cause || typed.whose === ""}>Make it again from its record</button></div>
    ${made ? html`<div class="spare" role="status"><p>${made.id}, from the record of the line that came back.</p>
      <dl>${made.facts.map((fact) => html`<div><dt>${fact.name}</dt><dd>${fractions(fact.text)}</dd></div>`)}</dl></div>` : null}</form>`;
}

/** Make the job under the next id that is free. @param {string} order @param {any} line @param {any} typed */
async function remade(order, line, typed) {
  const event = newId();
  const at = new Date().toISOString();
  let next = followingId(line.job);
  for (let tries = 0; ; tries += 1) {
    try {
      return await post(`/api/orders/${order}/remakes`, { event, at, by: "counter", ...typed, job: next, name: line.name });
    } catch (error) {
      const taken = error instanceof ApiError && error.status === 409 && error.errors[0]?.field === "job";
      if (!taken || tries >= MOST_TRIES) throw error;
      next = followingId(next);
    }
  }
}
