/** At the counter: every order by what comes next, found by number, bow or customer. */
import { useEffect, useState } from "preact/hooks";
import { counted, fractions, html } from "../lib/dom.js";
import { get } from "../lib/api.js";
import { addressOf } from "../lib/route.js";
import { useFetched } from "../models/fetched.js";
import { Field, WhenFetched } from "./parts.js";

/** How an order stands, in the order of the work, and what that asks for. */
const STANDS = [
  ["opened", "To be looked over"], ["looked at", "To be measured"], ["asked", "Waiting for an answer"], ["measured", "To be priced"],
  ["quoted", "Waiting for their word"], ["accepted", "To be built"], ["made", "To be fitted and handed over"], ["refused", "To go back as it came"],
  ["handed over", "To be closed"],
];
const CLOSED = [["closed", "Closed"]];
const PATIENCE = 250;

export function Screen() {
  const [typed, setTyped] = useState("");
  const [words, setWords] = useState("");
  const [closed, setClosed] = useState(false);
  useEffect(() => {
    const timer = setTimeout(() => setWords(typed.trim()), PATIENCE);
    return () => clearTimeout(timer);
  }, [typed]);
  const fetched = useFetched(`/api/orders?words=${encodeURIComponent(words)}${closed ? "&status=closed" : ""}`);
  return html`<section class="page orders-page">
    <header class="page-head"><h1>At the counter</h1>
      <div class="acts"><a class="act next" href=${addressOf("order", "new")}>Take in a bow</a></div></header>
    <div class="order-search"><${Field} label="Find an order" id="order-words" hint="number, bow, job or customer">
      <input id="order-words" type="search" value=${typed} autocomplete="off" spellcheck=${false} aria-describedby="order-words-hint" onInput=${(e) => setTyped(e.currentTarget.value)} /><//></div>
    <${WhenFetched} fetched=${fetched} what="The orders">${(answer) => html`<${Groups} key=${`${words} ${closed}`} answer=${answer} words=${words} closed=${closed} />
      <p><button type="button" class="plain" aria-pressed=${closed ? "true" : "false"} onClick=${() => setClosed(!closed)}>${
        closed ? "Show what is open" : `Show what is closed: ${counted(answer.counts.closed ?? 0, "order")}`}</button></p>`}<//>
  </section>`;
}

function Groups({ answer, words, closed }) {
  const [further, setFurther] = useState(/** @type {any[]} */ ([]));
  const [moved, setMoved] = useState(/** @type {Record<string, string[]|null>} */ ({}));
  const more = { ...answer.more, ...moved };
  const rows = [...new Map([...answer.orders, ...further].map((one) => [one.id, one])).values()];
  const fetchMore = async (/** @type {string} */ status) => {
    const [at, id] = /** @type {string[]} */ (more[status]);
    const next = await get(`/api/orders?status=${encodeURIComponent(status)}&at=${encodeURIComponent(at)}&id=${id}`);
    setFurther([...further, ...next.orders]);
    setMoved({ ...moved, [status]: next.more[status] ?? null });
  };
  const shown = closed ? CLOSED : words === "" ? STANDS : [...STANDS, ...CLOSED];
  const groups = shown.map(([status, title]) => ({ status, title, of: rows.filter((one) => one.status === status) })).filter((one) => one.of.length > 0);
  if (groups.length === 0) {
    return words !== "" ? html`<p>Nothing is found by <b>${words}</b>. A number has six letters and figures, as the label says.</p>`
      : html`<p class="lead">${closed ? "No order is closed yet." : "No bow is here. Take one in: who brings it, what it is, what is wanted; then the page walks you through the look, before any press."}</p>`;
  }
  return groups.map(({ status, title, of }) => html`<section class="order-group" key=${status}><h2>${title} <span class="wait">${words === "" && answer.counts[status] > of.length ? `${of.length} of ${answer.counts[status]}` : of.length}</span></h2>
      <ul>${of.map((one) => html`<${Order} key=${one.id} order=${one} />`)}</ul>
      ${more[status] ? html`<p><button type="button" class="plain" onClick=${() => fetchMore(status)}>Show more of these</button></p>` : null}</section>`);
}

function Order({ order }) {
  const late = order.wished_by !== "" && !["handed over", "refused", "closed"].includes(order.status) && order.wished_by < new Date().toISOString().slice(0, 10);
  const about = [order.bow, order.kind, order.lines === 0 ? "only to be looked over" : counted(order.lines, "line"), order.jobs.join(", ")].filter(Boolean).join(" · ");
  return html`<li data-status=${order.status}><a href=${addressOf("order", order.id)}>
      <b class="order-number">${order.number}</b>
      <span class="order-who"><b>${order.name || "not named"}</b> <span class="wait">${fractions(about)}</span>
        ${order.forbids && !order.refused ? html`<span class="wrong">${order.forbids}: to be refused</span>` : null}
        ${order.asked ? html`<span class="wait order-asked">${order.asked}</span>` : null}</span>
      ${order.wished_by ? html`<span class=${late ? "wrong" : "wait"}>${late ? "wished for by" : "by"} <span class="value">${order.wished_by}</span></span>` : html`<span></span>`}</a></li>`;
}
