/** Small parts that several screens share. */
import { fractions, html } from "../lib/dom.js";

/**
 * A list that is being fetched, could not be, or is here.
 * @param {{fetched: import("../models/fetched.js").Fetched, what: string, children: (value: any) => any}} props
 */
export function WhenFetched({ fetched, what, children }) {
  const value = fetched.value.value;
  const said = fetched.said.value;
  const failed = said === "" ? null : html`<div class="told" role="alert"><p>${what} could not be fetched. ${said}</p>
    <p><button type="button" class="act" onClick=${() => void fetched.fetch()}>Fetch again</button></p></div>`;
  if (value === null) return failed ?? html`<p class="loading">Fetching ${what.toLowerCase()}…</p>`;
  return html`${failed}${children(value)}`;
}

/**
 * What could not be done, and why.
 * @param {{failure: any, onSeen?: () => void}} props
 */
export function Failure({ failure, onSeen }) {
  if (!failure) return null;
  return html`<div class="told" role="alert"><p>${failure.message}</p>
    ${(failure.errors ?? []).length > 0 ? html`<ul>${failure.errors.map((one) => html`<li>${one.field}${
      one.given === undefined || one.given === "" ? "" : html`, <i>${fractions(one.given)}</i>`}: ${fractions(one.rule)}; <b>${fractions(one.remedy)}</b></li>`)}</ul>` : null}
    ${onSeen ? html`<p><button type="button" class="plain small" onClick=${onSeen}>Seen</button></p>` : null}</div>`;
}

/**
 * A field with its label, hint, and what is wrong with it.
 * @param {{label: string, hint?: string, wrong?: {rule: string, remedy: string}, id: string, wide?: boolean, children: any}} props
 */
export function Field({ label, hint = "", wrong, id, wide = false, children }) {
  return html`<div class="field" data-wrong=${wrong ? "yes" : null} data-wide=${wide ? "yes" : null}>
    <label for=${id}>${label}</label>${children}
    ${wrong ? html`<span class="wrong" id=${`${id}-wrong`} role="alert">${fractions(wrong.rule)}${wrong.remedy ? html`; <b>${fractions(wrong.remedy)}</b>` : ""}</span>` : null}
    ${hint === "" ? null : html`<span class="hint" id=${`${id}-hint`}>${fractions(hint)}</span>`}</div>`;
}

const LONG = 132, THICK = 20, PERIOD = 44, LEAN = 11;

/**
 * The small sign of a line: a cord in its colours, each as broad as its share of the strands.
 * @param {{colours: {colour: string, strands: number}[]}} props
 */
export function CordSign({ colours }) {
  const all = colours.length > 0 ? colours : [{ colour: "#B5AB98", strands: 1 }];
  const total = all.reduce((sum, one) => sum + one.strands, 0);
  const lay = all.length === 1 ? [{ ...all[0], strands: total / 2 }, { ...all[0], strands: total / 2 }] : all;
  const stripes = [];
  for (let start = -PERIOD; start < LONG + LEAN; start += PERIOD) {
    let x = start;
    for (const one of lay) {
      const broad = (PERIOD * one.strands) / total;
      stripes.push(html`<path d=${`M${x} ${THICK} L${x + LEAN} 0 h${broad + 0.5} l${-LEAN} ${THICK} z`} fill=${one.colour} stroke="#000" stroke-opacity="0.22" />`);
      x += broad;
    }
  }
  return html`<svg class="cord-sign" viewBox=${`0 0 ${LONG} ${THICK}`} width=${LONG} height=${THICK} aria-hidden="true">${stripes}
    <rect width=${LONG} height="5" y="3" fill="#fff" opacity="0.14" /><rect width=${LONG} height="6" y=${THICK - 6} fill="#000" opacity="0.2" /></svg>`;
}

/**
 * A moment as people say it, in their own place's time.
 * @param {string|null} iso
 * @returns {string}
 */
export function momentText(iso) {
  if (!iso) return "";
  const moment = new Date(iso);
  if (Number.isNaN(moment.getTime())) return iso;
  return moment.toLocaleString("en-GB", { day: "numeric", month: "short", year: "numeric", hour: "2-digit", minute: "2-digit" });
}
