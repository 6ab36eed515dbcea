/** One spool, or small parts of one ware: what is left, what is promised, its log, and what happened to it. */
import { useMemo } from "preact/hooks";
import { bound, counted, fractions, html, plusMinus, spread } from "../lib/dom.js";
import { addressOf } from "../lib/route.js";
import { useFetched } from "../models/fetched.js";
import { announce } from "../models/shell.js";
import { bodyOf, kindsOf, StockDraft } from "../models/stock_draft.js";
import { Failure, Field, momentText, WhenFetched } from "./parts.js";

/**
 * What is left over what it came with, as a bar in its own colour: promised is hatched, and it fades where nobody is sure.
 * @param {{one: any, large?: boolean}} props
 */
export function Amount({ one, large = false }) {
  const share = (/** @type {number} */ x) => `${(100 * Math.min(Math.max(x, 0), 1)).toFixed(2)}%`;
  const style = {
    "--spool": one.colour ?? "#B5AB98",
    "--sure": share(one.left_share - one.spread_share),
    "--most": share(one.left_share + one.spread_share),
    "--left": share(one.left_share),
    "--promised": share(one.left_share - one.reserved_share),
  };
  const said = [`${one.left_text} of ${one.full_text} left`, one.reserved_text ? `${one.reserved_text} promised` : ""].filter(Boolean).join(", ");
  return html`<span class="amount" role="img" aria-label=${said} data-large=${large ? "yes" : null} style=${style}>
    <span class="amount-left"></span>${one.reserved_share > 0 ? html`<span class="amount-promised"></span>` : null}<span class="amount-mark"></span></span>`;
}

/** @param {{id: string}} props */
export function Spool({ id }) {
  const fetched = useFetched(`/api/stock/${encodeURIComponent(id)}`);
  const draft = useMemo(() => new StockDraft(id), [id]);
  const show = (answer) => { if (answer) { fetched.value.value = answer; announce(`Written. ${answer.left_text} left.`); } };
  return html`<section class="page stock-page"><${WhenFetched} fetched=${fetched} what="This spool">${(one) => html`
    <header class="stock-head"><p class="wait">${[one.lot ? `lot ${one.lot}` : "", one.place, one.supplier ? `from ${one.supplier}` : ""].filter(Boolean).join(" · ")}</p>
      <h1>${one.colour ? html`<span class="swatch-dot" style=${{ background: one.colour }}></span>` : null} ${one.label} ${one.colour ? html`<span class="wait stock-hex">${one.called || one.colour}</span>` : null}</h1>
      ${one.counted ? null : html`<${Amount} one=${one} large=${true} />`}
      <p class="stock-left">${one.over ? html`<span class="wait">Gone${one.gone ? `: ${one.gone}` : ""}.</span>` : html`<b>${spread(one.left_text).map((part) => (part.soft ? html`<span class="pm">${part.text}</span>` : part.text))}</b> left${one.mass_text ? html`, ${bound(one.mass_text)}` : null}${one.full_text ? html`<span class="wait"> of ${bound(one.full_text)}</span>` : null}`}</p>
      ${one.warnings.map((text) => html`<p class="told">${bound(text)}</p>`)}</header>
    <div class="stock-work"><div class="stock-now"><${Facts} one=${one} /><${Promises} one=${one} draft=${draft} onWritten=${show} /></div>
      <${Happened} one=${one} draft=${draft} onWritten=${show} /></div>
    <${Log} one=${one} draft=${draft} onWritten=${show} />
    <p class="acts"><a class="plain" href=${addressOf("stock")}>All stock</a></p>`}<//></section>`;
}

function Facts({ one }) {
  const learned = one.learned.density_text ? [
    ["a metre of it weighs", one.learned.density_text], ["the empty spool weighs", one.learned.tare_text], ["weighed", counted(one.learned.weighings, "time")],
  ] : [];
  const rows = [["free to be promised", one.free_text], ["paid", one.price_text], ["worth now", one.worth_text], ...learned].filter(([, text]) => text);
  return html`<dl class="stock-facts">${rows.map(([name, text]) => html`<div><dt>${name}</dt><dd>${bound(text)}</dd></div>`)}</dl>`;
}

function Promises({ one, draft, onWritten }) {
  if (one.reserved.length === 0) return null;
  const free = async (promise) => onWritten(await draft.act("stock-freed", { order: promise.order, job: promise.job }));
  return html`<section class="stock-promises"><h2>Promised</h2><ul>${one.reserved.map((promise) => html`<li>
    <span><b>${bound(promise.text)}</b> ${[promise.job, `order ${promise.number}`].filter(Boolean).join(", ")}</span>
    <button type="button" class="plain small" disabled=${draft.busy.value} onClick=${() => void free(promise)}>Free it</button></li>`)}</ul></section>`;
}

function Happened({ one, draft, onWritten }) {
  const kinds = kindsOf(one.kind);
  const kind = kinds.find((k) => k.type === draft.type.value) ?? kinds[0];
  const send = async (/** @type {Event} */ event) => {
    event.preventDefault();
    const answer = await draft.send(kind.type, bodyOf(kind.asks, draft.typed.value));
    if (answer) onWritten(answer); else announce(`Not written. ${draft.failure.value?.message ?? ""}`);
  };
  return html`<form class="stock-form" onSubmit=${send} novalidate aria-label="Write down what happened">
    <h2>Write down what happened</h2>
    <${Field} label="What happened" id="stock-kind"><select id="stock-kind" onChange=${(e) => draft.choose(e.currentTarget.value)}>
      ${kinds.map((k) => html`<option value=${k.type} selected=${k.type === kind.type}>${k.label}</option>`)}</select><//>
    <p class="wait">${kind.said}</p>
    <${Asks} asks=${kind.asks} draft=${draft} />
    <${Refused} draft=${draft} names=${kind.asks.map((ask) => ask.name)} />
    <div class="acts"><button class="act next" disabled=${draft.busy.value}>${draft.busy.value ? "Writing…" : kind.verb}</button></div></form>`;
}

/** Fields of what is asked. @param {{asks: import("../models/stock_draft.js").Asked[], draft: StockDraft}} props */
export function Asks({ asks, draft }) {
  return html`<div class="stock-fields">${asks.map((ask) => {
    const id = `stock-${ask.name}`, wrong = draft.wrongAt(ask.name);
    const described = [wrong ? `${id}-wrong` : "", ask.hint ? `${id}-hint` : ""].join(" ").trim() || null;
    return html`<${Field} key=${ask.name} label=${ask.label} id=${id} wrong=${wrong} hint=${ask.hint ?? ""}>
      <input id=${id} autocomplete="off" inputmode=${ask.whole ? "numeric" : null} placeholder=${ask.such ? `such as ${fractions(ask.such)}` : ""} value=${draft.typed.value[ask.name] ?? ""}
        aria-invalid=${wrong ? "true" : null} aria-describedby=${described} onInput=${(e) => draft.put(ask.name, e.currentTarget.value)} /><//>`;
  })}</div>`;
}

/** What was refused at no field that is shown. @param {{draft: StockDraft, names: string[]}} props */
export function Refused({ draft, names }) {
  const failure = draft.failure.value;
  if (!failure) return null;
  const elsewhere = draft.elsewhere(names);
  if (elsewhere.length === 0 && failure.errors.length > 0) return null;
  return html`<${Failure} failure=${failure.errors.length > 1 ? { message: "Not written.", errors: elsewhere } : { message: failure.message }} />`;
}

function Log({ one, draft, onWritten }) {
  const back = async (entry) => onWritten(await draft.act("withdrawn", { event: entry.id }));
  return html`<section class="stock-log"><h2>What happened to it</h2><ol>${one.entries.map((entry) => html`<li key=${entry.id} data-back=${entry.taken_back ? "yes" : null}>
    <span class="wait">${momentText(entry.at)}</span>
    <span><b>${fractions(plusMinus(entry.text))}</b>${entry.by ? html` <span class="wait">${entry.by}</span>` : null}${entry.doubted && !entry.taken_back ? html` <span class="wrong">does not fit the rest</span>` : null}</span>
    ${entry.taken_back ? html`<span class="wait">taken back</span>` : entry.type === "withdrawn" || entry.type === "stock-received" ? html`<span></span>`
      : html`<button type="button" class="plain small" disabled=${draft.busy.value} onClick=${() => void back(entry)}>Take back</button>`}</li>`)}</ol></section>`;
}
