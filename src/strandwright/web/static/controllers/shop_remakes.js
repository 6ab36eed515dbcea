/** Remakes: how often lines come back and why, each share with the range that its count leaves open. */
import { bound, counted, html } from "../lib/dom.js";

const WHOSE = { shop: "the shop", wear: "wear", bow: "the bow", customer: "the customer" };

/** @param {{remakes: any}} props */
export function Remakes({ remakes }) {
  if (remakes.builds === 0) return null;
  const { count } = remakes.rate;
  return html`<section class="remakes" aria-label="Lines that came back"><h2>Lines that came back</h2>
    <p>${count === 0 ? "None was made again" : counted(count, "line was", "lines were")}${count === 0 ? "" : " made again"} of ${counted(remakes.builds, "finished line")}: <b>${bound(remakes.rate.text)}</b></p>
    ${remakes.causes.length === 0 ? null : html`<${Rows} title="By cause" rows=${remakes.causes.map((one) => [one.cause, WHOSE[one.whose], one])} heads=${["cause", "stands for it"]} />`}
    ${remakes.groups.length === 0 ? null : html`<${Rows} title="By bench and fibre" rows=${remakes.groups.map((one) => [one.name, one.level, one])} heads=${["name", "what"]} />`}
    <p class="small wait">${remakes.said} A bench or a fibre stands by itself from ${remakes.enough} of the latest finished lines on.</p></section>`;
}

function Rows({ title, rows, heads }) {
  return html`<div class="remakes-rows" tabindex="0" role="group" aria-label=${title}><table><caption>${title}</caption>
    <thead><tr><th scope="col">${heads[0]}</th><th scope="col">${heads[1]}</th><th scope="col">count</th><th scope="col">of</th><th scope="col">share</th></tr></thead>
    <tbody>${rows.map(([name, what, one]) => html`<tr key=${name + what}><th scope="row">${name}</th><td>${what}</td><td>${one.count}</td><td>${one.of}</td><td>${bound(one.text)}</td></tr>`)}</tbody></table></div>`;
}
