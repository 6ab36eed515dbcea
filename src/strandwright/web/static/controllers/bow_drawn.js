/** The bow along its draw, force beside it, its figures, and lines made longer or shorter. */
import { useEffect, useId, useLayoutEffect, useRef, useState } from "preact/hooks";
import { fractions, html, Value } from "../lib/dom.js";
import { Wrong } from "./keyed.js";

/** @typedef {import("../models/bow_model.js").BowModel} BowModel */

/** The program draws nothing narrower [px]. */
const NARROWEST = 300;

/**
 * The room an element has, told once a window that is being resized rests.
 * @param {import("preact/hooks").MutableRef<any>} box
 * @param {(width: number) => void} told
 */
export function useRoom(box, told) {
  useLayoutEffect(() => {
    let timer = 0;
    const watch = new ResizeObserver(([entry]) => {
      clearTimeout(timer);
      timer = setTimeout(() => told(Math.max(Math.floor(entry.contentRect.width), NARROWEST)), 60);
    });
    watch.observe(box.current);
    return () => { clearTimeout(timer); watch.disconnect(); };
  }, []);
}

const read = new Map();

/** A drawing as a node; each is read once, so that going to and fro along the draw costs nothing. */
function nodeOf(svg) {
  let node = read.get(svg);
  if (node === undefined) {
    if (read.size > 200) read.clear();
    node = document.importNode(new DOMParser().parseFromString(svg, "image/svg+xml").documentElement, true);
    read.set(svg, node);
  }
  return node;
}

/** @param {{svg: string}} props */
export function Picture({ svg }) {
  const box = useRef(/** @type {any} */ (null));
  useLayoutEffect(() => { box.current.replaceChildren(nodeOf(svg)); }, [svg]);
  return html`<div class="bow-picture" ref=${box}></div>`;
}

/** @param {{model: BowModel}} props */
export function Drawn({ model }) {
  const shown = model.changed.value ?? model.answers.value;
  const { frames, plot } = shown;
  const at = Math.min(model.at.value, frames.length - 1);
  const frame = frames[at];
  const column = useRef(/** @type {any} */ (null));
  useRoom(column, (room) => model.draw({ plot: Math.min(room, 720) }));
  // What the hand may reach next is read into nodes while it rests.
  useEffect(() => { const idle = setTimeout(() => frames.forEach((one) => nodeOf(one.svg)), 100); return () => clearTimeout(idle); }, [frames]);
  return html`<section class="bow-drawn" aria-label="The bow along its draw" id="bow-drawn"><h2>Along its draw</h2>
    <div class="bow-side"><${Picture} svg=${frame.svg} /></div>
    <div class="bow-force" ref=${column}>
      <${Scrub} model=${model} frames=${frames} at=${at} />
      <div class="bow-plot" style=${{ aspectRatio: `${plot.width} / ${plot.height}` }}>
        <${Picture} svg=${plot.svg} />
        <span class="bow-marker" aria-hidden="true" style=${{ left: `${100 * frame.x / plot.width}%`, top: `${100 * frame.y / plot.height}%` }}></span>
      </div>
      <p class="wait small">The line is the one bow nearest the middle of all that agree, and it is the one drawn; the band holds 95 % of them.${
        (model.job.value.bow.draw_board ?? []).length > 0 ? " The points are yours, from the draw board." : ""}</p>
    </div>
    <div class="bow-numbers"><${WhatIf} model=${model} /><${Figures} model=${model} /></div>
  </section>`;
}

/** From brace to full draw, or to a crossbow's latch, by hand or by keys. */
function Scrub({ model, frames, at }) {
  const { crossbow, full } = model.answers.value.data;
  const { draw_text, force_text } = frames[at];
  return html`<div class="bow-scrub">
    <p class="bow-read"><span><span class="wait small">${crossbow ? "drawn from brace" : "drawn to"}</span> <b>${fractions(draw_text)}</b></span>
      <span><span class="wait small">force</span> <b>${force_text}</b></span></p>
    <input type="range" min="0" max=${frames.length - 1} step="1" value=${at} aria-label="how far the bow is drawn"
      aria-valuetext=${`${draw_text}, ${force_text}`} onInput=${(e) => { model.at.value = Number(e.currentTarget.value); }} />
    <p class="bow-ends wait small" aria-hidden="true"><span>brace</span><span>${full}</span></p></div>`;
}

/** One stepper for each line. */
function WhatIf({ model }) {
  const { lines } = model.answers.value;
  const step = model.units === "in" ? "1/16 in" : "1 mm";
  return html`<section class="bow-what-if" aria-label="Lines longer or shorter"><h2>What if a line were longer?</h2>
    <ul>${lines.map((line) => html`<${Longer} key=${line} model=${model} line=${line} step=${step} />`)}</ul>
    <p class="bow-what-if-foot"><span class="wait small">Steps of ${fractions(step)}; nothing of this is kept.</span>
      <button type="button" class="plain small" disabled=${!model.isChanged && Object.keys(model.untried.value).length === 0} onClick=${() => model.reset()}>Put every line back</button></p>
  </section>`;
}

function Longer({ model, line, step }) {
  const [typed, setTyped] = useState(/** @type {string|null} */ (null));
  const id = useId();
  const wrong = model.untried.value[line];
  const kept = model.longer.value[line] ?? "";
  const side = kept === "" || wrong ? "" : kept.startsWith("-") ? "shorter" : "longer";
  const send = () => { if (typed !== null && typed.trim() !== kept) model.type(line, typed); setTyped(null); };
  const go = (/** @type {number} */ steps) => { setTyped(null); model.step(line, steps); };
  const keys = (/** @type {any} */ event) => {
    if (event.key === "Enter") send();
    else if (event.key === "Escape") setTyped(null);
    else if (event.key === "ArrowUp") go(1);
    else if (event.key === "ArrowDown") go(-1);
    else return;
    event.preventDefault();
  };
  return html`<li class="bow-longer"><span>${line} <span class="wait small">${side}</span></span>
    <span class="stepper"><button type="button" aria-label=${`${line} ${step} shorter`} onClick=${() => go(-1)}>−</button>
      <input class="keyed count" aria-label=${`${line} longer by`} size="9" maxlength="60" value=${typed ?? kept} placeholder="as it is" autocomplete="off" spellcheck=${false}
        aria-invalid=${wrong ? "true" : null} aria-describedby=${wrong ? id : null}
        onInput=${(e) => setTyped(e.currentTarget.value)} onBlur=${send} onKeyDown=${keys} />
      <button type="button" aria-label=${`${line} ${step} longer`} onClick=${() => go(1)}>+</button></span>
    <${Wrong} id=${id} wrong=${wrong} /></li>`;
}

/** What it measures, and how lines of other lengths change that. */
function Figures({ model }) {
  const { figures } = model.answers.value.data;
  const changed = model.changed.value;
  const rows = changed === null ? figures.map((row) => ({ ...row, change_text: "" })) : changed.figures;
  return html`<table class="rows bow-figures"><caption class="unseen">Figures of the bow</caption>
    <thead><tr><th scope="col">${changed === null ? "the bow" : "the bow so changed"}</th><th scope="col">is</th>
      <th scope="col">changed by</th></tr></thead>
    <tbody>${rows.map((row) => html`<tr key=${row.name}><th scope="row">${row.label}</th><td><${Value} text=${row.text} /></td>
      <td class="bow-change">${row.change_text ? html`<${Value} text=${row.change_text} />` : html`<span class="wait bow-none">–</span>`}</td></tr>`)}</tbody></table>`;
}
