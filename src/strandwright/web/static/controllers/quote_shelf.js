/** The shelf beside a price: what is taken off which spool, and what is to be bought. */
import { bound, html } from "../lib/dom.js";
import { addressOf } from "../lib/route.js";

const dot = (colour) => (colour ? html`<span class="swatch-dot" style=${{ background: colour }}></span> ` : null);

export function Shelf({ bill, page }) {
  const many = page.jobs.length > 1;
  const lead = bill.to_buy.length === 0 ? page.accepted ? "All of it is promised to this order." : "The shelf has all of it."
    : bill.to_buy.length === 1 ? "One thing is not free on the shelf." : `${bill.to_buy.length} things are not free on the shelf.`;
  return html`<section class="order-part" id="shelf"><h2>The shelf</h2><p>${lead}</p>
    ${bill.to_buy.length === 0 ? null : html`<ul class="quote-buy">${bill.to_buy.map((one) => html`<li>Buy <b class="value">${bound(one.amount)}</b> ${dot(one.colour)}${one.title}${many ? html` <span class="wait">for ${one.job}</span>` : null}</li>`)}</ul>
      <p class="acts"><a class="plain" href=${addressOf("stock", "new")}>It is here: take it in</a></p>`}
    ${bill.from_shelf.length === 0 ? null : html`<ul class="quote-taken">${bill.from_shelf.map((one) => html`<li><a href=${addressOf("stock", one.log)}><b class="value">${bound(one.amount)}</b> <span>${dot(one.colour)}${one.title}</span>
      <span class="wait">${[page.accepted ? "promised" : "", many ? one.job : "", one.place].filter(Boolean).join(" · ")}</span></a></li>`)}</ul>`}</section>`;
}
