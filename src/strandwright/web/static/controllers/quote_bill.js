/** The bill: a line a row, amounts in one column on their decimal point, what is unsure of each beside it. */
import { bound, counted, html, spread } from "../lib/dom.js";
import { filled } from "../models/quote_draft.js";
import { Field } from "./parts.js";

const GOODS = ["material", "part"], WORK = ["work"], FIT = ["fitting", "risk"], REST = ["other"];
const of = (bill, kinds) => (bill?.lines ?? []).filter((line) => kinds.includes(line.kind));

/** @param {{bill: any, page: any, draft?: any, wished?: string, stale?: boolean}} props `draft` where it is made still */
export function Bill({ bill, page, draft, wished = "", stale = false }) {
  const rows = (kinds) => of(bill, kinds).map((line) => html`<${Line} line=${line} />`);
  return html`<table class="bill" data-stale=${stale ? "yes" : null} aria-busy=${stale ? "true" : null}>
    <caption>${bill ? html`All amounts in ${bill.currency}; the ± is where 95 of 100 such lines come to lie` : "Pricing…"}</caption>
    <thead class="unseen"><tr><th scope="col">For</th><th scope="col">Quantity</th><th scope="col">Price</th><th scope="col">Amount</th><th scope="col">How sure</th></tr></thead>
    <tbody>${rows(GOODS)}${draft ? html`<${Entry}><${PartsByHand} draft=${draft} /><//>` : null}</tbody>
    <tbody>${rows(WORK)}${draft ? html`<${Entry}><${Fitting} draft=${draft} /><//>` : null}${rows(FIT)}</tbody>
    <tbody>${rows(REST)}${draft ? html`<${Entry}><${Extras} draft=${draft} /><//><${Entry}><${Off} draft=${draft} /><//>` : null}
      ${(bill?.discounts ?? []).map((line) => html`<${Line} line=${line} />`)}</tbody>
    <tbody class="bill-foot">${bill && !bill.tax_is_in && (bill.taxes.length > 0 || draft) ? html`<tr class="bill-sub"><th scope="row" colspan="3">Together</th><td class="money">${bill.subtotal}</td><td></td></tr>` : null}
      ${draft && page.taxes.length > 0 ? html`<${Entry}><${Taxes} draft=${draft} taxes=${page.taxes} /><//>` : null}
      ${bill && !bill.tax_is_in ? bill.taxes.map((tax) => html`<${Tax} tax=${tax} />`) : null}
      ${bill ? html`<tr class="bill-total"><th scope="row" colspan="3">Total</th><td class="money"><b>${bill.total}</b></td><td>${bill.currency}</td></tr>` : null}
      ${bill && bill.tax_is_in ? bill.taxes.map((tax) => html`<${Tax} tax=${tax} />`) : null}
      ${bill?.deposit ? html`<tr><th scope="row" colspan="3">of it due when it is taken</th><td class="money">${bill.deposit}</td><td></td></tr>` : null}
      ${draft ? html`<${Entry}><${Due} draft=${draft} wished=${wished} /><//>` : null}</tbody></table>
    ${bill ? html`<ul class="quote-promises">${bill.promises.filter((said) => !said.includes("is due when it is accepted")).map((said) => html`<li>${bound(said)}</li>`)}
      <li class="wait">Lines out of tolerance cost ${bill.risk} on the average; the chance is ${bill.jobs.map((job, i) => html`${i > 0 ? ", " : ""}<span class="value">${bound(job.misses)} for ${job.job}</span>`)}. ${of(bill, ["risk"]).length > 0 ? "It is in the bill." : "It is not charged."}</li></ul>` : null}`;
}

const soft = (text) => spread(bound(text)).map((part) => (part.soft ? html`<span class="pm">${part.text}</span>` : part.text));

function Line({ line }) {
  return html`<tr><th scope="row">${line.colour ? html`<span class="swatch-dot" style=${{ background: line.colour }}></span> ` : null}${bound(line.title)}</th>
    <td class="bill-quantity">${bound(line.quantity)}</td><td class="bill-price">${line.price ? html`<span class="unseen">at </span>${bound(line.price)}` : null}</td><td class="money">${line.amount}</td><td class="bill-beside">${soft(line.beside ?? "")}</td></tr>`;
}

const Tax = ({ tax }) => html`<tr><th scope="row" colspan="3">${tax.title}</th><td class="money">${tax.amount}</td><td></td></tr>`;
const Entry = ({ children }) => html`<tr class="bill-entry no-print"><td colspan="5">${children}</td></tr>`;

/** Rows to type in, with an empty one at the end. @param {any[]} rows @param {any} empty @param {(rows: any[]) => void} put */
function typing(rows, empty, put) {
  const shown = filled(rows).length === rows.length ? [...rows, empty] : rows;
  const set = (i, told) => put(shown.map((row, k) => (k === i ? { ...row, ...told } : row)));
  // An error counts rows as they were sent: without those that are empty, at which nothing is wrong.
  const place = (i) => (filled([shown[i]]).length === 0 ? 0 : filled(shown.slice(0, i + 1)).length);
  return { shown, set, place };
}

const text = (id, value, onInput, more = {}) => html`<input id=${id} value=${value} autocomplete="off" spellcheck=${false} ...${more} onInput=${(e) => onInput(e.currentTarget.value)} />`;

function PartsByHand({ draft }) {
  const { shown, set, place } = typing(draft.typed.value.parts, { name: "", count: "" }, (parts) => draft.put({ parts }));
  return html`<div class="bill-rows">${shown.map((row, i) => html`<div class="bill-pair" key=${i}>
    <${Field} label="Small part besides" id=${`part-name-${i}`} wrong=${draft.wrongAt(`entries.parts[${place(i)}].name`)}>${text(`part-name-${i}`, row.name, (name) => set(i, { name }), { placeholder: "such as silencer" })}<//>
    <${Field} label="how many" id=${`part-count-${i}`} wrong=${draft.wrongAt(`entries.parts[${place(i)}].count`)}>${text(`part-count-${i}`, row.count, (count) => set(i, { count }), { inputmode: "numeric", placeholder: "1" })}<//></div>`)}</div>`;
}

function Fitting({ draft }) {
  const { fitting } = draft.typed.value;
  return html`<div class="bill-pair"><${Field} label="Fitting to the bow and setting it" id="fitting" wrong=${draft.wrongAt("entries.fitting")}>${text("fitting", fitting, (value) => draft.put({ fitting: value }), { placeholder: "such as 90 min; empty, not fitted here" })}<//>
    <div class="bill-side"><button type="button" class="act" aria-pressed=${fitting === "usual" ? "true" : "false"} onClick=${() => draft.put({ fitting: fitting === "usual" ? "" : "usual" })}>${fitting === "usual" ? "not fitted here" : "the usual time"}</button></div></div>`;
}

function Extras({ draft }) {
  const { shown, set, place } = typing(draft.typed.value.extras, { title: "", amount: "" }, (extras) => draft.put({ extras }));
  return html`<div class="bill-rows">${shown.map((row, i) => html`<div class="bill-pair" key=${i}>
    <${Field} label="Anything else" id=${`extra-title-${i}`} wrong=${draft.wrongAt(`entries.extras[${place(i)}].title`)}>${text(`extra-title-${i}`, row.title, (title) => set(i, { title }), { placeholder: "such as posting" })}<//>
    <${Field} label="amount" id=${`extra-amount-${i}`} wrong=${draft.wrongAt(`entries.extras[${place(i)}].amount`)}>${text(`extra-amount-${i}`, row.amount, (amount) => set(i, { amount }), { inputmode: "decimal", placeholder: "6.90" })}<//></div>`)}</div>`;
}

function Off({ draft }) {
  return html`<div class="bill-pair"><${Field} label="Taken off" id="off" wrong=${draft.wrongAt("entries.off", "discount")}>${text("off", draft.typed.value.off, (off) => draft.put({ off }), { placeholder: "such as 5 % or 10.00" })}<//></div>`;
}

function Taxes({ draft, taxes }) {
  const chosen = draft.typed.value.taxes ?? taxes.map((tax) => tax.name);
  const set = (name, on) => {
    const now = taxes.map((tax) => tax.name).filter((one) => (one === name ? on : chosen.includes(one)));
    draft.put({ taxes: now.length === taxes.length ? null : now });
  };
  return html`<div class="order-ticks">${taxes.map((tax) => html`<label class="tick"><input type="checkbox" checked=${chosen.includes(tax.name)} onChange=${(e) => set(tax.name, e.currentTarget.checked)} />${tax.name} ${tax.rate} % is on it</label>`)}</div>`;
}

function Due({ draft, wished }) {
  const due = draft.typed.value.due ?? wished;
  return html`<div class="bill-pair"><${Field} label="To be ready by" id="due" wrong=${draft.wrongAt("entries.due", "due")} hint=${wished ? `wished for by ${wished}` : ""}><input id="due" type="date" value=${due} onInput=${(e) => draft.put({ due: e.currentTarget.value })} /><//></div>`;
}

/** Where each minute comes from. */
export function Minutes({ bill }) {
  return html`<section class="order-part"><h2>The hands</h2>
    <p>${soft(bill.hands)} in all; besides, the line stands under its stretch ${bill.stands} and rests ${bill.rests} without them.</p>
    <div class="stock-scroll"><table class="quote-minutes"><thead><tr><th scope="col">Act</th><th scope="col">Times</th><th scope="col">Takes</th><th scope="col">By</th></tr></thead>
      <tbody>${bill.acts.map((act) => html`<tr><th scope="row">${act.title}</th><td class="value">${act.amount}</td><td class="value">${soft(act.time)}</td><td class=${act.timed ? "" : "wait"}>${act.source}</td></tr>`)}</tbody></table></div>
    <p class="wait">Where the minutes come from: ${bill.work_source}.</p>
    <p class="wait">${counted(bill.jobs.length, "line")}: ${bill.jobs.map((job) => `${job.name}, ${bound(job.finished)}, ${job.strands} strands`).join("; ")}.</p></section>`;
}
