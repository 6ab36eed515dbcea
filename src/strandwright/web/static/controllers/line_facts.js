/** The handful of numbers beside the strip, what makes their ± large, and warnings in words. */
import { fractions, html, Value } from "../lib/dom.js";
import { Keyed } from "./keyed.js";

const MOST_BARS = 6;

/** @param {{model: import("../models/line_model.js").LineModel}} props */
export function Facts({ model }) {
  const { facts, strip, plan } = model.view.value;
  const end = strip.handles.find((handle) => handle.field === "line.finished");
  return html`<dl class="facts" aria-label="What follows from it">
    <div><dt>finished</dt><dd><${Keyed} model=${model} field="line.finished" value=${end?.at_text ?? plan.target.length_text} label="finished length" klass="lead" /></dd>
      <dd class="fact-said">at ${fractions(plan.target.measuring_load_text)} over ${fractions(plan.target.pin_diameter_text)} pins</dd></div>
    <div><dt>lands within</dt><dd><${Keyed} model=${model} field="line.tolerance" value=${model.job.value.line.tolerance ?? ""} label="tolerance" klass="strong" empty=${plan.target.tolerance_text} /></dd>
      <dd class="fact-said">either way${model.job.value.line.tolerance ? "" : ", the usual"}</dd></div>
    ${facts.map((fact) => html`<div key=${fact.name}><dt>${fact.name}</dt><dd><${Value} text=${fact.text} /></dd>
      ${fact.said ? html`<dd class="fact-said">${fractions(fact.said)}</dd>` : null}</div>`)}</dl>`;
}

/** Shares of the landing's variance, the largest first. */
export function Budget({ view }) {
  const all = [...view.budget].sort((a, b) => b.share - a.share);
  const shown = all.slice(0, MOST_BARS);
  if (shown.length === 0) return null;
  const landing = view.plan.landing;
  return html`<section class="budget"><h2>What makes the ± large</h2>
    <p class="wait small">Built by the numbers alone it comes to <${Value} text=${landing.blind_text} />; the readings on the way make that <${Value} text=${landing.guided_text} />.</p>
    <ol class="bars">${shown.map((part) => html`<li><span class="bar-label">${part.label}</span>
      <span class="bar"><span style=${{ width: `${Math.max(part.share * 100, 0.5)}%` }}></span></span>
      <span class="bar-text">${part.text}</span></li>`)}</ol>
    ${landing.shop ? html`<p class="small">${fractions(landing.shop)}</p>` : null}
    ${landing.heard ? html`<p class="small">${fractions(`${landing.heard}.`)}</p>` : null}
  </section>`;
}

/** Warnings in words, before all that can be changed. */
export function Warnings({ view: { warnings } }) {
  if (warnings.length === 0) return null;
  return html`<section class="warnings"><h2>Look at this first</h2>
    <ul class="warned">${warnings.map((text) => html`<li>${fractions(text)}</li>`)}</ul></section>`;
}

/** What the line will carry; that nothing stands against it is said too. */
export function Loads({ view }) {
  const loads = view.plan.strength?.checks ?? [];
  return html`<section><h2>${view.warnings.length === 0 ? "Nothing stands against it" : "What it will carry"}</h2>
    ${loads.length > 0 ? html`<table class="loads"><caption class="wait small">Loads, and their share of the derated break of <${Value} text=${view.plan.strength.derated_text} /></caption>
      <tbody>${loads.map((check) => html`<tr data-verdict=${check.verdict}><th scope="row">${check.name}</th><td><${Value} text=${check.load_text} /></td>
        <td><${Value} text=${check.share_text} /></td><td>${check.verdict}</td></tr>`)}</tbody></table>` : null}
  </section>`;
}
