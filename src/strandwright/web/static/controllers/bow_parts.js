/** What turns do, what the bow touches of the line, what the string costs in speed, what is neglected. */
import { useRef } from "preact/hooks";
import { bound, fractions, html, Value } from "../lib/dom.js";
import { Picture, useRoom } from "./bow_drawn.js";
import { Bare } from "./bow_riser.js";
import { Keyed } from "./keyed.js";
import { Verdict } from "./verdict.js";

/** @typedef {import("../models/bow_model.js").BowModel} BowModel */

/** The program draws no wider strip [px]. */
const WIDEST = 4000;

/** @param {{model: BowModel}} props */
export function Turns({ model }) {
  const { data } = model.tuning;
  const { lines, rows, held, shorter_text: shorter } = data.turns;
  return html`<section class="bow-turns" id="bow-turns"><h2>What one turn does</h2>
    <table class="rows stack"><caption class="wait small">One turn put into a line, by ${fractions(data.turns.source_text)}; taken out it does the contrary.</caption>
      <thead><tr><th scope="col"><span class="unseen">figure</span></th>${lines.map((line) => html`<th scope="col">${line}</th>`)}</tr></thead>
      <tbody><tr><th scope="row">the line itself</th>${lines.map((line, k) => html`<td data-label=${line}>${shorter[k]} shorter</td>`)}</tr>
        ${rows.map((row) => html`<tr key=${row.name}><th scope="row">${row.label}</th>${row.per_turn.map((text, k) => html`<td data-label=${lines[k]}><${Value} text=${text} /></td>`)}</tr>`)}</tbody></table>
    ${held === null ? null : html`<${Held} held=${held} />`}
  </section>`;
}

/** The other limit: tracks hold the twist, and only what is in the air next to that end takes the turn. */
function Held({ held }) {
  const { columns } = held;
  const rows = held.rows.filter((row) => row.differs);
  // A number keeps its ± beside it; a sentence is wrapped.
  const cells = (texts, said = (text) => html`<${Value} text=${text} />`) => texts.map((text, k) => html`<td data-label=${columns[k].label}><span>${said(text)}</span></td>`);
  return html`<details class="bow-held bow-fold"><summary>If tracks hold the twist</summary><div class="bow-held-in">
    <p class="small">So it is where the twist passes every track. Where tracks hold it, only what is in the air next to the end it is put in at takes the turn.
      A line that is twisted already gives nearly as much by the next turn wherever that stays.</p>
    <table class="rows stack"><caption class="unseen">One turn that stays in the air</caption>
      <thead><tr><th scope="col"><span class="unseen">figure</span></th>${columns.map((one) => html`<th scope="col">${one.label}</th>`)}</tr></thead>
      <tbody><tr><th scope="row">in the air</th>${cells(columns.map((one) => one.free_text), bound)}</tr>
        <tr><th scope="row">the line itself</th>${cells(columns.map((one) => `${one.shorter_text} shorter, ${one.more_text}`), bound)}</tr>
        ${rows.map((row) => html`<tr key=${row.name}><th scope="row">${row.label}</th>${cells(row.per_turn)}</tr>`)}</tbody></table>
  </div></details>`;
}

/** The line's strip with what the bow touches, and what that asks of the servings. */
export function Touched({ model }) {
  const { data, strip } = model.answers.value;
  const box = useRef(/** @type {any} */ (null));
  useRoom(box, (room) => model.draw({ width: Math.min(room, WIDEST) }));
  return html`<section class="bow-touched" id="bow-touched"><h2>What the bow touches of the ${data.line}</h2>
    <div class="strip-scroll" ref=${box}><div class="strip" style=${{ width: `${strip.width}px`, height: `${strip.height}px` }}><${Picture} svg=${strip.svg} /></div></div>
    <${Bare} model=${model} />
    ${data.servings.length === 0 ? null : html`<ul class="contact-rows" aria-label="What the bow asks of the servings">${data.servings.map((row) => html`<${Verdict} key=${row.name} row=${row} />`)}</ul>`}
    ${data.untouched_text === "" ? html`<${Places} data=${data} />` : html`<p>${data.untouched_text}.</p>`}
  </section>`;
}

/** Where each part of the line is touched, and where a serving is needed for that. */
function Places({ data }) {
  const needed = data.servings.filter((row) => row.wanted_text !== "");
  return html`<details class="bow-fold"><summary>Where it is touched, and where to serve</summary><div class="bow-touched-rows">
      <table class="rows stack"><caption class="unseen">What touches it</caption>
        <thead><tr><th scope="col">on</th><th scope="col">from</th><th scope="col">to</th><th scope="col">at brace</th></tr></thead>
        <tbody>${data.touches.map((touch) => html`<tr key=${touch.start_text}><th scope="row">${touch.on}</th>
          <td data-label="from"><${Value} text=${touch.start_text} /></td><td data-label="to"><${Value} text=${touch.stop_text} /></td>
          <td data-label="at brace">${fractions(touch.brace_text)}</td></tr>`)}</tbody></table>
      ${needed.length === 0 ? null : html`<table class="rows stack"><caption class="unseen">Where each serving is needed</caption>
        <thead><tr><th scope="col">serving</th><th scope="col">needed from and to</th><th scope="col">served</th></tr></thead>
        <tbody>${needed.map((row) => html`<tr key=${row.name}><th scope="row">${row.name}</th>
          <td data-label="needed from and to">${fractions(row.wanted_text)}</td><td data-label="served">${row.times_text}</td></tr>`)}</tbody></table>`}
    </div></details>`;
}

/** Arrow speed, and what each thing on the string takes from it. */
export function Speed({ model }) {
  const { speed, missile } = model.answers.value.data;
  const { bow } = model.job.value;
  if (speed === null) return null;
  return html`<section class="bow-speed" id="bow-speed"><h2>${missile === "bolt" ? "Bolt" : "Arrow"} speed</h2>
    <p class="bow-speed-said"><b><${Value} text=${speed.text.split(" with ")[0]} /></b> <span class="wait">with ${fractions(speed.text.split(" with ")[1])}; ${speed.by}</span></p>
    ${speed.assumed_text ? html`<p class="wait small">${speed.assumed_text}.</p>` : null}
    <dl class="bow-shot"><div><dt>${missile}</dt><dd><${Keyed} model=${model} field="bow.arrow" value=${bow.arrow} label=${`mass of the ${missile}`} empty="weigh it, 350 gr" klass="strong" /></dd></div>
      <div><dt>over the chronograph</dt><dd><${Keyed} model=${model} field="bow.shot" value=${bow.shot} label="speed over the chronograph" empty="shoot it, 290 ft/s" klass="strong" /></dd></div></dl>
    <table class="rows stack"><caption class="unseen">What each thing takes from the ${missile}</caption>
      <thead><tr><th scope="col">on the string</th><th scope="col">mass</th><th scope="col">costs in speed</th></tr></thead>
      <tbody>${speed.rows.map((row) => html`<tr key=${row.name}><th scope="row">${row.name}</th><td data-label="mass">${row.mass_text}</td>
        <td data-label="costs in speed">${row.told ? html`<${Value} text=${row.lost_text} />` : html`<span class="wait">${fractions(row.lost_text)}</span>`}</td></tr>`)}</tbody></table>
    ${speed.rows.every((row) => row.told) ? null : html`<p class="wait small">Where it cannot be told, some of the mass lies near a wheel: a small weight there can make ${missile === "bolt" ? "a bolt" : "an arrow"} faster, which stored energy does not show. The range holds both; a chronograph tells.</p>`}
  </section>`;
}

/** @param {{model: BowModel}} props */
export function Neglected({ model }) {
  return html`<details class="bow-fold bow-neglected"><summary>What is left out of account</summary>
    <ul class="small wait">${model.tuning.data.neglects.map((text) => html`<li>${text}</li>`)}</ul></details>`;
}
