/** Money of an order: what was paid, what is still owed, and a payment written down. */
import { html } from "../lib/dom.js";
import { Field } from "./parts.js";
import { Wrongs } from "./order_who.js";

const HOW = [["cash", "in cash"], ["card", "by card"], ["transfer", "by transfer"], ["other", "another way"]];

/** @param {{money: any, paid: any[], draft: any, write: Function, next?: boolean}} props `draft` the order's, `write` as the order's page writes */
export function Payments({ money, paid, draft, write, next = false }) {
  const { texts } = draft.typed.value;
  const owed = Number(money.owed.exact || "0");
  const asked = Number(money.deposit_owed.exact || "0") > 0 ? money.deposit_owed.exact : owed > 0 ? money.owed.exact : "";
  const amount = texts.paid ?? asked;
  const how = texts.paidHow ?? "cash";
  const send = async (/** @type {Event} */ event) => {
    event.preventDefault();
    await write("paid", "paid", { amount: amount.trim(), how }, (now) => ({ texts: Object.fromEntries(Object.entries(now.texts).filter(([key]) => key !== "paid" && key !== "paidHow")) }));
  };
  return html`<section class="order-part" id="money"><h2 tabindex="-1">The money</h2>
    <dl class="money-stands"><div><dt>price</dt><dd>${money.total.text || "not told yet"}</dd></div><div><dt>paid</dt><dd>${money.paid.text}</dd></div>
      ${money.owed.exact === "" ? null : html`<div data-owed=${owed > 0 ? "yes" : null}><dt>${owed < 0 ? "to be given back" : "still owed"}</dt><dd>${owed < 0 ? money.owed.text.replace("\u2212", "") : money.owed.text}</dd></div>`}
      ${Number(money.deposit_owed.exact || "0") > 0 ? html`<div><dt>of it now, as deposit</dt><dd>${money.deposit_owed.text}</dd></div>` : null}</dl>
    ${paid.length === 0 ? null : html`<ul class="money-paid">${paid.map((one) => html`<li><span class="money">${one.amount}</span> <span class="wait">${HOW.find(([name]) => name === one.how)?.[1] ?? one.how}</span></li>`)}</ul>`}
    ${owed === 0 && money.owed.exact !== "" && texts.paid === undefined ? html`<p class="wait">All of it is paid.</p>` : null}
    <form class="money-form no-print" onSubmit=${send} novalidate>
      <${Field} label=${`paid now${money.currency ? `, ${money.currency}` : ""}`} id="paid-amount" wrong=${draft.failure.value?.part === "paid" ? draft.wrongAt("paid.amount") : undefined} hint=${next ? "as asked when it is taken" : ""}>
        <input id="paid-amount" inputmode="decimal" autocomplete="off" value=${amount} placeholder="such as 40.00" onInput=${(e) => draft.type("texts", "paid", e.currentTarget.value)} /><//>
      <${Field} label="how" id="paid-how"><select id="paid-how" onChange=${(e) => draft.type("texts", "paidHow", e.currentTarget.value)}>${HOW.map(([name, said]) => html`<option value=${name} selected=${name === how}>${said}</option>`)}</select><//>
      <button class=${next ? "act next" : "act"} disabled=${amount.trim() === "" || draft.busy.value !== ""}>${draft.busy.value === "paid" ? "Writing…" : "Write the payment down"}</button></form>
    <${Wrongs} draft=${draft} part="paid" at=${["paid.amount"]} /></section>`;
}
