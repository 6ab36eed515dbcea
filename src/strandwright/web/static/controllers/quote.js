/** The price of an order: the bill as a bill, entries beside what they change, then told, taken and printed. */
import { useEffect, useMemo } from "preact/hooks";
import { counted, html } from "../lib/dom.js";
import { addressOf } from "../lib/route.js";
import { useFetched } from "../models/fetched.js";
import { OrderDraft } from "../models/order_draft.js";
import { entriesOf, QuoteDraft, today, typedOf } from "../models/quote_draft.js";
import { announce, answering, mark } from "../models/shell.js";
import { Payments } from "./order_money.js";
import { Failure, momentText, WhenFetched } from "./parts.js";
import { Bill, Minutes } from "./quote_bill.js";
import { Shelf } from "./quote_shelf.js";

const NAMES = { currency: "a currency", hourly_rate: "an hourly rate" };

/** @param {{id: string}} props */
export function Screen({ id }) {
  const fetched = useFetched(`/api/quotes/of/${encodeURIComponent(id)}`);
  return html`<section class="page quote-page"><${WhenFetched} fetched=${fetched} what="The price">${(page) => html`
    <${Price} key=${page.order} page=${page} onPage=${(answer) => { fetched.value.value = answer; }} again=${() => void fetched.fetch()} />`}<//></section>`;
}

function Price({ page, onPage, again }) {
  const draft = useMemo(() => new QuoteDraft(page.order), [page.order]);
  const order = useMemo(() => new OrderDraft(page.order), [page.order]);
  const typed = draft.typed.value;
  const isDraft = !page.accepted && !page.over && (page.told === null || typed.open);
  const isReady = isDraft && page.needed.length === 0 && page.jobs.length > 0;
  // A day that is past cannot be promised; it stands on the order still.
  const wished = page.wished_by >= today() ? page.wished_by : "";
  const entries = entriesOf(typed, wished);
  const said = JSON.stringify(entries);
  const heard = mark.value;
  const answers = answering.value;
  useEffect(() => { if (isReady && answers !== false) draft.ask(JSON.parse(said), draft.bill.value === null); return () => draft.rest(); }, [draft, isReady, said, heard, answers]);
  const done = (answer, words) => { if (answer) { onPage(answer); announce(words); } return answer; };
  const shared = { page, draft, done, entries, wished };
  return html`<header class="order-head"><p class="wait"><a href=${addressOf("order", page.order)}>Order <span class="order-number">${page.number}</span></a>${page.customer ? ` · ${page.customer}` : ""} · ${counted(page.jobs.length, "line")}</p>
      <h1>The price</h1><p class="order-next" role="status">${standing(page, isDraft)}</p></header>
    ${page.needed.length > 0 && isDraft ? html`<div class="empty"><p class="lead">The shop has not said ${page.needed.map((name) => NAMES[name]).join(" and ")} yet. Nothing is made up for it.</p>
      <p class="acts"><a class="act next" href=${addressOf("terms")}>Say the shop’s terms</a></p></div>`
      : page.jobs.length === 0 ? html`<p>No line has its job yet: <a href=${addressOf("order", page.order)}>measure the line first</a>.</p>`
      : isDraft ? html`<${Draft} ...${shared} />` : page.told ? html`<${Told} ...${shared} order=${order} again=${again} />` : null}
    ${page.quotes.length > 0 ? html`<${Earlier} page=${page} />` : null}`;
}

function standing(page, isDraft) {
  if (page.accepted) return page.made > 0 ? "They took it, and a line is built on it." : "They took it.";
  if (page.over) return "This order is over; no price is told on it any more.";
  const last = page.quotes.find((one) => one.last);
  if (isDraft) return page.told ? `Told ${last ? momentText(last.told_at) : ""}; below it is made anew.` : "Not told yet. What you type is priced at once.";
  return `Told ${last ? momentText(last.told_at) : ""}. It waits for their word.`;
}

/** Errors that stand at no entry: what has no price, and what cannot be planned. */
const ENTRIES = /^(entries\.|discount$|due$|shelf\.)/;

function Draft({ page, draft, done, entries, wished }) {
  const bill = draft.bill.value;
  const failure = draft.failure.value;
  const elsewhere = (failure?.errors ?? []).filter((error) => !ENTRIES.test(error.field));
  const unpriced = elsewhere.filter((error) => error.field.startsWith("price of "));
  const tell = async () => {
    const answer = await draft.act("tell", { entries, day: today(), total: bill.exact });
    // A price that is another by now is shown before it is told.
    if (answer) draft.put({ open: false }); else if (draft.refused.value?.errors.length > 0) draft.ask(entries, true);
    done(answer, "The price is kept and written down as told.");
  };
  const isFit = draft.settled.value && failure === null && bill !== null;
  return html`${unpriced.length > 0 ? html`<div class="told" role="alert"><p>No price is known of ${unpriced.map((error) => error.field.slice("price of ".length)).join("; ")}.
        A spool that is taken in with what was paid for it has one, too.</p><p><a class="act" href=${addressOf("terms")}>Say the price in the terms</a></p></div>` : null}
    <${Failure} failure=${elsewhere.length > unpriced.length ? { message: failure.message, errors: elsewhere.filter((error) => !unpriced.includes(error)) } : failure && !failure.errors?.length ? failure : null} />
    <${Bill} bill=${bill} page=${page} draft=${draft} wished=${wished} stale=${!isFit} />
    <${Failure} failure=${draft.refused.value} onSeen=${() => { draft.refused.value = null; }} />
    <div class="acts quote-acts no-print"><button type="button" class="act next" disabled=${!isFit || draft.busy.value !== ""} onClick=${() => void tell()}>${draft.busy.value === "tell" ? "Writing…" : "Tell this price"}</button>
      ${page.told ? html`<button type="button" class="plain" onClick=${() => draft.put({ open: false })}>Leave it as it was told</button>` : null}</div>
    ${bill ? html`<${Shelf} bill=${bill} page=${page} /><${Minutes} bill=${bill} />` : null}`;
}

function Told({ page, draft, done, order, again }) {
  const bill = page.told;
  const { short } = draft.typed.value;
  const lacks = bill.to_buy.length > 0;
  const owes = page.accepted && Number(page.money.deposit_owed.exact) > 0;
  const take = async () => done(await draft.act("accept", { revision: bill.revision, short: lacks && short }), "They took it; the material is promised.");
  const reserve = async () => done(await draft.act("reserve", {}), "What has come in is promised.");
  const back = async () => done(await draft.act("take-back", {}), "Taken back; nothing is promised any more.");
  const change = () => { draft.put({ ...typedOf(bill.entries), open: true, short: false }); };
  const write = async (part, type, body, written) => { const answer = await order.write(part, type, body, "in", written); if (answer) { announce(answer.next.said); again(); } return answer; };
  const busy = draft.busy.value !== "";
  const paper = `/api/quotes/${encodeURIComponent(bill.id)}/quote.pdf?revision=${bill.revision}`;
  return html`<${Bill} bill=${bill} page=${page} />
    <${Failure} failure=${draft.refused.value} onSeen=${() => { draft.refused.value = null; }} />
    ${!page.accepted && lacks ? html`<label class="tick quote-short"><input type="checkbox" checked=${short} onChange=${(e) => draft.put({ short: e.currentTarget.checked })} />
      <span>It may be taken short: I buy ${bill.to_buy.map((one) => `${one.amount} ${one.title}`).join("; ")}</span></label>` : null}
    <div class="acts quote-acts no-print">
      ${page.accepted ? owes ? null : html`<a class="act next" href=${addressOf("order", page.order)}>Go to the lines</a>`
        : page.over ? null : html`<button type="button" class="act next" disabled=${busy || (lacks && !short)} onClick=${() => void take()}>${draft.busy.value === "accept" ? "Writing…" : "They take it"}</button>`}
      <a class="act" href=${paper} target="_blank" rel="noopener">Print it</a>
      ${page.accepted && lacks && !page.over ? html`<button type="button" class="act" disabled=${busy} onClick=${() => void reserve()}>Promise what has come in</button>` : null}
      ${page.over ? null : page.accepted ? page.made > 0 ? null : html`<button type="button" class="plain" disabled=${busy} onClick=${() => void back()}>It was a slip: take it back</button>`
        : html`<button type="button" class="plain" onClick=${change}>Change the price</button>`}</div>
    ${page.accepted || page.paid.length > 0 ? html`<${Payments} money=${page.money} paid=${page.paid} draft=${order} write=${write} next=${owes} />` : null}
    <${Shelf} bill=${bill} page=${page} /><${Minutes} bill=${bill} />`;
}

/** Every price that was told, newest first. */
function Earlier({ page }) {
  return html`<details class="order-part"><summary>Every price that was told: ${page.quotes.length}</summary>
    <ol class="quote-earlier">${page.quotes.map((one) => html`<li key=${one.revision}><span class="wait">${momentText(one.told_at)}</span> <b class="value">${one.total}</b>
      <span>${one.taken ? "taken" : one.last ? "told last" : ""}</span> <a href=${`/api/quotes/${encodeURIComponent(one.id)}/quote.pdf?revision=${one.revision}`} target="_blank" rel="noopener">as it was printed</a></li>`)}</ol></details>`;
}
