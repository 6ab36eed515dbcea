/** The shop's terms: currency, rate, taxes, what is asked and promised, and its price list. */
import { useMemo } from "preact/hooks";
import { html } from "../lib/dom.js";
import { useFetched } from "../models/fetched.js";
import { filled } from "../models/quote_draft.js";
import { announce } from "../models/shell.js";
import { formOf, TermsDraft } from "../models/terms_draft.js";
import { may } from "../models/visitor.js";
import { useChoices } from "./choices.js";
import { Failure, Field, WhenFetched } from "./parts.js";

export function Screen() {
  const fetched = useFetched("/api/terms");
  return html`<section class="page terms-page"><header class="page-head"><h1>The shop’s terms</h1></header>
    <p class="lead">On what this shop works for money. A price needs a currency and an hourly rate; what else is left empty stands on no paper, and nothing is made up for it.</p>
    <${WhenFetched} fetched=${fetched} what="The terms">${(answer) => html`<${Terms} answer=${answer} onAnswer=${(next) => { fetched.value.value = next; }} />`}<//></section>`;
}

const PARTS = [
  ["On the paper", "", [
    { name: "name", label: "name of the shop" },
    { name: "address", label: "address, a line each", lines: true },
  ]],
  ["Money", "", [
    { name: "currency", label: "currency", such: "EUR", hint: "three letters, as ISO 4217 has them" },
    { name: "hourly_rate", label: "an hour of hands", such: "48.00" },
    { name: "charged_by", label: "work is rounded up to, minutes", such: "5" },
    { name: "markup", label: "on material and parts over their price", such: "20 %" },
  ]],
  ["Asked and promised", "", [
    { name: "deposit", label: "deposit, when a price is taken", such: "30 %" },
    { name: "holds_days", label: "a price holds, days", such: "30" },
    { name: "warranty_days", label: "warranty, days", such: "365" },
  ]],
];
const RARE = [
  { name: "decimals", label: "decimals of the currency", hint: "only where they are not its own" },
  { name: "post_allowance", label: "a strand is reckoned longer than the line by", such: "40 cm", hint: "left empty, as the plan has it" },
  { name: "tails", label: "left over for each colour of a line", such: "30 cm", hint: "left empty, as the plan has it" },
  { name: "label_width", label: "labels are wide", such: "62 mm" }, { name: "label_height", label: "and high", such: "29 mm" },
];
const SHOWN = [...PARTS.flatMap(([, , asks]) => asks), ...RARE].map((ask) => `terms.${ask.name}`);
const DAYS = [["mon", "Monday"], ["tue", "Tuesday"], ["wed", "Wednesday"], ["thu", "Thursday"], ["fri", "Friday"], ["sat", "Saturday"], ["sun", "Sunday"]];

function Terms({ answer, onAnswer }) {
  const draft = useMemo(() => new TermsDraft(), []);
  const form = draft.typed ?? formOf(answer.terms);
  const type = (told) => draft.type(told, form, answer.revision);
  const owns = may("owner");
  const save = async (/** @type {Event} */ event) => {
    event.preventDefault();
    const next = await draft.save(answer.terms, form);
    if (next) { onAnswer(next); announce("The terms are kept."); } else announce(`Not kept. ${draft.failure.value?.message ?? ""}`);
  };
  const choices = useChoices();
  const names = choices ? [...choices.strands, ...choices.threads] : [];
  const elsewhere = (draft.failure.value?.errors ?? []).filter((error) => !SHOWN.includes(error.field) && !/^terms\.(taxes|prices|open)\[/.test(error.field));
  const ask = (one) => html`<${Ask} key=${one.name} ask=${one} form=${form} type=${type} wrong=${draft.wrongAt(`terms.${one.name}`)} />`;
  return html`<form class="terms-form" onSubmit=${save} novalidate>
    ${owns ? null : html`<p class="caution">These are the owner’s to change.</p>`}
    <fieldset disabled=${!owns}>
    ${PARTS.map(([title, , asks]) => html`<section class="order-part" key=${title}><h2>${title}</h2><div class="fields">${asks.map(ask)}</div></section>`)}
    <section class="order-part"><h2>Taxes</h2><${Rows} name="taxes" form=${form} type=${type} draft=${draft} empty=${{ name: "", rate: "", on: "" }} columns=${[["name", "name on the paper", "VAT"], ["rate", "rate", "19 %"], ["on", "only on", "work fitting"]]} />
      <p class="wait small">A tax that is not on everything says on what, parted by spaces: material, part, work, fitting, risk, other.</p>
      <label class="tick"><input type="checkbox" checked=${form.prices_include_tax} onChange=${(e) => type({ prices_include_tax: e.currentTarget.checked })} /><span>Prices and rate hold the taxes already</span></label></section>
    <section class="order-part"><h2>Price list</h2><p class="wait">For as much as the ware is sold by; a small part by the piece. What is not here is priced by what was paid for the newest of it on the shelf.</p>
      <${Rows} name="prices" form=${form} type=${type} draft=${draft} empty=${{ ware: "", colour: "", price: "", per: "" }} list="ware-names" columns=${[["ware", "ware", "hmpe-lcp"], ["colour", "colour, if not any", "spruce"], ["price", "price", "32.00"], ["per", "for", "113.4 g; empty, a piece"]]} />
      <datalist id="ware-names">${names.map((one) => html`<option value=${one.name}>${one.label}</option>`)}</datalist></section>
    <section class="order-part"><h2>Open</h2><${Hours} form=${form} type=${type} draft=${draft} /></section>
    <details class="order-part"><summary>Seldom needed</summary><div class="fields">${RARE.map(ask)}</div>
      <label class="tick"><input type="checkbox" checked=${form.remake_charged} onChange=${(e) => type({ remake_charged: e.currentTarget.checked })} /><span>What lines out of tolerance cost on the average is a line of the bill</span></label></details>
    </fieldset>
    <${Failure} failure=${elsewhere.length > 0 ? { message: "Not kept:", errors: elsewhere } : draft.failure.value && !draft.failure.value.errors?.length ? draft.failure.value : null} />
    ${draft.failure.value?.errors?.length > elsewhere.length ? html`<p class="wrong" role="alert">Not kept: ${draft.failure.value.errors.length} of the fields above cannot be used as they are.</p>` : null}
    <div class="acts terms-acts no-print"><button class="act next" disabled=${!owns || draft.busy.value || draft.typed === null}>${draft.busy.value ? "Keeping…" : "Keep these terms"}</button>
      ${draft.typed === null ? null : html`<button type="button" class="plain" onClick=${() => draft.giveUp()}>Leave them as they were</button>`}
      ${draft.saved.value ? html`<span class="wait" role="status">kept</span>` : null}
      ${history.length > 1 ? html`<button type="button" class="plain" onClick=${() => history.back()}>Back</button>` : null}</div></form>`;
}

function Ask({ ask, form, type, wrong }) {
  const id = `terms-${ask.name}`;
  const put = (e) => type({ [ask.name]: e.currentTarget.value });
  const about = [wrong ? `${id}-wrong` : "", ask.hint ? `${id}-hint` : ""].join(" ").trim() || null;
  return html`<${Field} label=${ask.label} id=${id} wrong=${wrong} hint=${ask.hint ?? ""}>${ask.lines
    ? html`<textarea id=${id} rows="3" value=${form[ask.name]} aria-describedby=${about} onInput=${put}>${form[ask.name]}</textarea>`
    : html`<input id=${id} value=${form[ask.name]} placeholder=${ask.such ? `such as ${ask.such}` : null} autocomplete="off" spellcheck=${false} aria-invalid=${wrong ? "true" : null} aria-describedby=${about} onInput=${put} />`}<//>`;
}

/** Rows to type in, with an empty one at the end. */
function Rows({ name, form, type, draft, columns, empty, list }) {
  const rows = form[name];
  const shown = filled(rows).length === rows.length ? [...rows, empty] : rows;
  const put = (i, told) => type({ [name]: shown.map((row, k) => (k === i ? { ...row, ...told } : row)) });
  return html`<div class="terms-rows" data-rows=${name}>${shown.map((row, i) => {
    // An error counts rows as they were sent: without those that are empty, at which nothing is wrong.
    const place = filled([row]).length === 0 ? 0 : filled(shown.slice(0, i + 1)).length;
    const whole = draft.wrongAt(`terms.${name}[${place}]`);
    return html`<div class="terms-row" key=${i} style=${{ "--columns": columns.length }}>${columns.map(([column, label, such], k) => {
      const id = `${name}-${i}-${column}`;
      const wrong = draft.wrongAt(`terms.${name}[${place}].${column}`) ?? (k === 0 ? whole : undefined);
      return html`<${Field} label=${label} id=${id} wrong=${wrong} key=${column}><input id=${id} value=${row[column]} placeholder=${i === shown.length - 1 ? `such as ${such}` : null} list=${k === 0 ? list : null} autocomplete="off" spellcheck=${false} aria-invalid=${wrong ? "true" : null} onInput=${(e) => put(i, { [column]: e.currentTarget.value })} /><//>`;
    })}</div>`;
  })}</div>`;
}

/** A row for each day; a second span of a day stands below its first. */
function Hours({ form, type, draft }) {
  const set = (day, spans) => type({ open: DAYS.flatMap(([name]) => (name === day ? spans : form.open.filter((one) => one.day === name))) });
  const sent = form.open.filter((row) => row.opens.trim() !== "" || row.closes.trim() !== "");
  return html`<div class="terms-hours">${DAYS.map(([day, title]) => {
    const own = form.open.filter((one) => one.day === day);
    const spans = own.length > 0 ? own : [{ day, opens: "", closes: "" }];
    return spans.map((span, i) => {
      const wrong = draft.wrongAt(`terms.open[${sent.indexOf(span) + 1}]`);
      const put = (told) => set(day, spans.map((one, k) => (k === i ? { ...one, ...told } : one)));
      const box = (what, label) => html`<input aria-label=${`${title}, ${label}`} value=${span[what]} placeholder=${what === "opens" ? "08:30" : "17:00"} size="6" autocomplete="off" aria-invalid=${wrong ? "true" : null} onInput=${(e) => put({ [what]: e.currentTarget.value })} />`;
      return html`<div class="terms-day" key=${`${day} ${i}`} data-wrong=${wrong ? "yes" : null}><span>${i === 0 ? title : ""}</span>${box("opens", "opens")}<span class="wait">to</span>${box("closes", "closes")}
        ${i === spans.length - 1 && span.opens && span.closes ? html`<button type="button" class="plain small" onClick=${() => set(day, [...spans, { day, opens: "", closes: "" }])}>and again</button>` : null}
        ${wrong ? html`<span class="wrong" role="alert">${wrong.rule}; <b>${wrong.remedy}</b></span>` : null}</div>`;
    });
  })}</div>`;
}
