/** Stock: every ware with its spools as bars in their own colour, what is free, when to order. */
import { useState } from "preact/hooks";
import { bound, counted, html, spread } from "../lib/dom.js";
import { addressOf } from "../lib/route.js";
import { useFetched } from "../models/fetched.js";
import { WhenFetched } from "./parts.js";
import { Amount, Spool } from "./stock_spool.js";
import { TakeIn } from "./stock_take_in.js";
import { WindFrom } from "./stock_wind.js";

/** Wares up to this many are seen at a glance. */
const GLANCE = 8;
const KINDS = [["strand", "Strand"], ["thread", "Serving thread"], ["part", "Small parts"]];

/** @param {{id: string}} props */
export function Screen({ id }) {
  if (id === "new") return html`<${TakeIn} />`;
  if (id === "wind") return html`<${WindFrom} />`;
  return id === "" ? html`<${Shelf} />` : html`<${Spool} id=${id} />`;
}

function Shelf() {
  const fetched = useFetched("/api/stock");
  return html`<section class="page stock-page"><header class="page-head"><h1>Stock</h1>
      <div class="acts no-print"><a class="act" href=${addressOf("stock", "wind")}>What to wind from</a><a class="act next" href=${addressOf("stock", "new")}>Take in a spool or parts</a></div></header>
    <${WhenFetched} fetched=${fetched} what="The stock">${(stock) => (stock.wares.length === 0 ? html`<p class="lead">Nothing is on the shelf yet.
        Take in a spool by its label: its length or its mass is enough. Each use and each weighing then makes what is left surer.</p>`
      : html`<${Wares} stock=${stock} />`)}<//></section>`;
}

function Wares({ stock }) {
  const [words, setWords] = useState("");
  const sought = words.toLowerCase().split(/\s+/).filter(Boolean);
  const found = stock.wares.filter((ware) => sought.every((word) => textOf(ware).includes(word)));
  const shown = found.filter((ware) => ware.spools.length > 0 || ware.order_now || sought.length > 0);
  const order = stock.wares.filter((ware) => stock.to_order.includes(ware.key));
  return html`<p class="lead">${counted(stock.spools, "spool or box", "spools and boxes")} at hand${stock.worth_text ? html`, worth ${bound(stock.worth_text)} at what was paid` : null}.
      </p>
    ${order.length === 0 ? null : html`<p class="stock-to-order"><b>To order:</b> ${order.map((ware) => html`<span key=${ware.key}><${Named} ware=${ware} /></span>`)}</p>`}
    ${stock.wares.length <= GLANCE ? null : html`<div class="field stock-search"><label for="stock-words">Find a ware</label>
      <input id="stock-words" type="search" value=${words} autocomplete="off" spellcheck=${false} onInput=${(e) => setWords(e.currentTarget.value)} />
      <span class="hint">name, colour, lot or place</span></div>`}
    ${shown.length === 0 ? html`<p>${words ? html`Nothing is found by <b>${words}</b>.` : "Everything that was here is used up."}</p>` : null}
    ${KINDS.map(([kind, title]) => {
      const of = shown.filter((ware) => ware.ware.kind === kind);
      return of.length === 0 ? null : html`<section key=${kind} class="stock-kind"><h2>${title}</h2>${of.map((ware) => html`<${Ware} key=${ware.key} ware=${ware} />`)}</section>`;
    })}`;
}

/** A ware in its colour and by its name. */
function Named({ ware }) {
  const colour = ware.ware.colour;
  return html`${colour ? html`<span class="swatch-dot" style=${{ background: colour }}></span>` : null} ${ware.label}${colour ? html` <span class="wait">${ware.called || colour}</span>` : null}`;
}

/** What a ware is found by. @param {any} ware */
const textOf = (ware) => [ware.key, ware.label, ware.called, ...ware.spools.flatMap((one) => [one.lot, one.place, one.supplier])].join(" ").toLowerCase();

function Ware({ ware }) {
  return html`<article class="stock-ware" data-ware=${ware.key} data-order=${ware.order_now ? "yes" : null}>
    <header><h3><${Named} ware=${ware} /></h3>
      ${ware.worth_text && ware.spools.length > 1 ? html`<span class="wait value">${bound(ware.worth_text)}</span>` : null}
      <p class=${ware.order_now ? "stock-order" : "wait"}>${bound(ware.reorder_text)}</p></header>
    ${ware.spools.length === 0 ? html`<p class="wait">None is left.</p>` : html`<ul>${ware.spools.map((one) => html`<${Row} key=${one.id} one=${one} />`)}</ul>`}
    ${ware.prices.length === 0 ? null : html`<${Paid} prices=${ware.prices} />`}</article>`;
}

function Row({ one }) {
  const about = [one.lot ? `lot ${one.lot}` : "", one.place, one.opened ? "begun" : "not begun"].filter(Boolean).join(" · ");
  return html`<li><a href=${addressOf("stock", one.id)} data-spool=${one.id}>
    ${one.counted ? null : html`<${Amount} one=${one} />`}
    <span class="stock-amount"><b>${spread(one.left_text).map((part) => (part.soft ? html`<span class="pm">${part.text}</span>` : part.text))}</b>${one.mass_text ? html` <span class="wait">${bound(one.mass_text)}</span>` : null}</span>
    <span class="stock-about wait">${about}</span>
    <span class="stock-free">${one.reserved_text ? html`<span>${bound(one.reserved_text)} promised</span> · ` : null}<span class="wait">${bound(one.free_text)} free</span></span>
    <span class="stock-worth wait value">${bound(one.worth_text)}</span>
    ${one.warnings.map((text) => html`<span class="wrong stock-warning">${bound(text)}</span>`)}</a></li>`;
}

/** What was paid, newest first. */
function Paid({ prices }) {
  return html`<details class="stock-paid"><summary>What was paid: ${bound(prices[prices.length - 1].each_text)} last</summary>
    <div class="stock-scroll"><table><thead><tr><th scope="col">Day</th><th scope="col">From</th><th scope="col">Lot</th><th scope="col">Paid</th><th scope="col">That is</th></tr></thead>
      <tbody>${[...prices].reverse().map((one) => html`<tr><td>${dayText(one.at)}</td><td>${one.supplier || "not said"}</td><td>${one.lot}</td><td class="value">${bound(one.text)}</td><td>${bound(one.each_text)}</td></tr>`)}</tbody></table></div></details>`;
}

/** @param {string} iso */
function dayText(iso) {
  const moment = new Date(iso);
  return Number.isNaN(moment.getTime()) ? iso : moment.toLocaleDateString("en-GB", { day: "numeric", month: "short", year: "numeric" });
}
