/** The lists of a set: what it takes, in which order it is wound, how long it takes, how it agrees. */
import { bound, counted, fractions, html, Value } from "../lib/dom.js";

/** A clause of the program's as a sentence. @param {string} text */
export const sentence = (text) => `${text.charAt(0).toUpperCase()}${text.slice(1)}.`;

/** @param {{cut: any}} props */
export function CutList({ cut }) {
  if (cut.fibres.length === 0) return null;
  return html`<section class="set-list"><h2>Cut list</h2>
    <ul class="cut">${cut.fibres.map((one) => html`<li>
      <span class="swatch-dot" style=${{ background: one.colour }}></span>
      <span><b>${one.name}</b> <span class="wait">${[one.strand, one.lot ? `lot ${one.lot}` : ""].filter(Boolean).join(", ")}</span>
        <span class="cut-for wait small">${one.jobs.join(", ")}</span></span>
      <span class="cut-much"><${Value} text=${one.length_text} /><span class="wait small"><${Value} text=${one.mass_text} />, ${one.spool_text} of a spool</span></span></li>`)}</ul>
    <p class="small wait">${bound(`A full spool is taken to hold ${cut.spool_text}: ${cut.spool_source}.`)}</p>
    ${cut.threads.length > 0 ? html`<h3>Serving thread</h3><ul class="cut">${cut.threads.map((one) => html`<li>
      <span class="swatch-dot" style=${{ background: one.colour }}></span>
      <span><b>${one.thread}</b> <span class="wait small">${one.colour}</span><span class="cut-for wait small">${one.jobs.join(", ")}</span></span>
      <span class="cut-much"><${Value} text=${one.length_text} /><span class="wait small">${counted(one.bobbins, "bobbin")}</span></span></li>`)}</ul>` : null}
    ${cut.parts.length > 0 ? html`<h3>Small parts</h3><ul class="cut">${cut.parts.map((one) => html`<li><span></span>
      <span><b>${one.name}</b><span class="cut-for wait small">${one.jobs.join(", ")}</span></span><span class="cut-much">${one.count}<span class="wait small">${one.mass_text}</span></span></li>`)}</ul>` : null}</section>`;
}

/** @param {{orders: any[], fits: any[], byHand: string[]}} props */
export function Orders({ orders, fits, byHand }) {
  if (orders.length === 0 && byHand.length === 0) return null;
  const misfits = fits.filter((one) => !one.fits);
  const benches = [...new Set(fits.map((one) => one.bench))];
  return html`<section class="set-list"><h2>Order of winding</h2>
    ${orders.map((order) => html`<div><p class="wait">on the ${order.bench}</p>
      <ol class="order">${order.lines.map((line) => html`<li><b>${line.job}</b> <span>posts at ${fractions(line.posts_text)}</span></li>`)}</ol>
      ${order.said.map((text) => html`<p class="small">${bound(sentence(text))}</p>`)}
      ${order.said.length > 0 ? html`<p class="small wait">How long these take is ${order.source}.</p>` : null}</div>`)}
    ${byHand.map((job) => html`<p class="small">${job} is cut and laid in by hand: it is not wound.</p>`)}
    ${misfits.map((one) => html`<p class="wrong">${one.job} does not fit the ${one.bench}: ${fractions(one.said)}</p>`)}
    ${misfits.length === 0 ? html`<p class="small">Every line fits ${benches.map((name) => `the ${name}`).join(" and ")}.</p>` : null}</section>`;
}

const HOURS = 3600;

/** @param {{schedule: any, lines: any[]}} props */
export function Time({ schedule, lines }) {
  if (schedule.total_s === 0) return null;
  const going = lines.filter((line) => schedule.spans.some((span) => span.job === line.job));
  const part = (seconds) => `${(100 * seconds) / schedule.total_s}%`;
  const ticks = Array.from({ length: Math.floor(schedule.total_s / HOURS) + 1 }, (_, hour) => hour);
  return html`<section class="set-list"><h2>Time</h2>
    <p>${going.length < lines.length ? "What is left takes" : "All lines take"} <b>${schedule.total_text}</b>, ${schedule.one_by_one_text} one by one; hands are at work for ${schedule.hands_text}; ${schedule.until}.</p>
    ${schedule.uncounted ? html`<p class="wrong">${sentence(schedule.uncounted)}</p>` : null}
    <div class="day" aria-hidden="true">${going.map((line) => html`<div class="day-line"><span class="small wait">${line.job}</span>
      <div class="day-bar">${schedule.spans.filter((span) => span.job === line.job).map((span) => html`
        <i data-kind=${span.kind} title=${span.title} style=${{ left: part(span.start_s), width: part(span.stop_s - span.start_s) }}></i>`)}</div></div>`)}
      <div class="day-line"><span></span><div class="day-hours">${ticks.map((hour) => html`<span class="small wait" style=${{ left: part(hour * HOURS) }}>${hour} h</span>`)}</div></div></div>
    <p class="small wait day-key"><span><i data-kind="work"></i> hands at work</span><span><i data-kind="stretch"></i> stands under its stretch</span><span><i data-kind="rest"></i> rests</span></p>
    ${schedule.caution ? html`<p class="caution">${schedule.caution}</p>` : null}
    ${schedule.said.length > 0 ? html`<details><summary>What is done meanwhile</summary><ul class="small">${schedule.said.map((text) => html`<li>${bound(sentence(text))}</li>`)}</ul></details>` : null}
    <p class="small wait">${sentence(schedule.source)}</p></section>`;
}

/** Every caution of the lines still to be built, once, with where it belongs. @param {{set: any}} props */
export function Cautions({ set }) {
  if (set.cautions.length === 0) return null;
  return html`<section class="set-list set-cautions"><h2>Take care</h2>
    <ul>${set.cautions.map((one) => html`<li><p class="caution">${one.said}</p><p class="small wait">${sentence(one.where)}</p></li>`)}</ul>
    <p class="small wait">${set.deferral}</p></section>`;
}

const SIGNS = { agrees: "✓", differs: "!", "not said": "?" };

/** @param {{set: any}} props */
export function Agreement({ set }) {
  const checks = [...set.checks, ...set.pairs.flatMap((pair) => pair.checks)];
  if (checks.length === 0) return null;
  // What calls for something first.
  const rank = ["differs", "not said", "agrees"];
  checks.sort((a, b) => rank.indexOf(a.verdict) - rank.indexOf(b.verdict));
  return html`<section class="set-list"><h2>Agreement of the lines</h2>
    <ul class="checks">${checks.map((one) => html`<li data-verdict=${one.verdict}><span aria-hidden="true">${SIGNS[one.verdict]}</span>
      <span><b>${one.of}</b> <span class="unseen">${one.verdict}:</span> ${bound(one.said)}${one.remedy ? html`<span class="remedy">${bound(one.remedy)}</span>` : null}</span></li>`)}</ul>
    ${set.pairs.map((pair) => html`<p>The pair of ${pair.one} and ${pair.other}: ${bound(pair.said)}.</p>`)}</section>`;
}
