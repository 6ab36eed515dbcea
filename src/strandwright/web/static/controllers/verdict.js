/** What the bow asks of one serving, in the same words wherever it is said. */
import { bound, html } from "../lib/dom.js";

/** @param {{row: {name: string, short: boolean, verdict_text: string}}} props */
export const Verdict = ({ row }) => html`<li data-short=${row.short ? "yes" : null}><b>${row.name}</b> <span>${bound(row.verdict_text)}</span></li>`;
