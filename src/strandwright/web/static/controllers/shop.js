/** The shop: whether its bench is in control, and what its finished builds have taught. */
import { useEffect, useRef } from "preact/hooks";

import { counted, fractions, html } from "../lib/dom.js";
import { addressOf } from "../lib/route.js";
import { useFetched } from "../models/fetched.js";
import { pictureTheme } from "../models/shell.js";
import { WhenFetched } from "./parts.js";

const LEVELS = { shop: "The whole shop", bench: "Bench", fibre: "Fibre", lot: "Lot", builder: "Builder" };

export function Screen() {
  const width = Math.round(Math.min(Math.max(document.documentElement.clientWidth - 48, 300), 560));
  const fetched = useFetched(`/api/shop?width=${width}`);
  return html`<section class="page shop-page"><header class="page-head"><h1>The shop</h1></header>
    <${WhenFetched} fetched=${fetched} what="The shop's builds">${(shop) => (shop.builds === 0 ? html`<${Nothing} />` : html`
      <p class="lead">${counted(shop.builds, "finished build")} ${shop.builds === 1 ? "teaches" : "teach"} the next plan.</p>
      ${shop.charts.length === 0 ? html`<p class="wait">Charts begin with the second finished build.</p>` : null}
      <div class="charts">${shop.charts.map((chart) => html`<${Chart} key=${chart.name} chart=${chart} />`)}</div>
      <${Learned} groups=${shop.groups} />`)}<//></section>`;
}

function Nothing() {
  return html`<div class="empty"><p class="lead">No build is finished yet. Each one that is proved and locked teaches the
    next: what this bench, this fibre and this lot really do goes before the tables, and here stands how steady the bench is.</p>
    <p class="acts"><a class="act next" href="#/">Go to the jobs at hand</a></p></div>`;
}

/** One measure over the builds; every point opens its build. */
function Chart({ chart }) {
  const drawn = useRef(/** @type {HTMLElement|null} */ (null));
  const svg = chart.svg[pictureTheme.value] ?? "";
  useEffect(() => {
    if (!svg) return;
    const picture = new DOMParser().parseFromString(svg, "image/svg+xml").documentElement;
    drawn.current?.replaceChildren(document.importNode(picture, true));
    for (const point of chart.points) {
      const mark = drawn.current?.querySelector(`[data-build="${CSS.escape(point.label)}"]`);
      mark?.addEventListener("click", () => { location.hash = addressOf("jig", point.build); });
    }
  }, [chart, svg]);
  return html`<article class="chart" aria-label=${chart.title}>
    <h2>${chart.headline}</h2>
    <div class="chart-drawn" ref=${drawn}></div>
    ${chart.sentences.length > 1 ? html`<ul class="chart-said">${chart.sentences.slice(1).map((text) => html`<li>${fractions(text)}</li>`)}</ul>` : null}
    <details><summary>Open a build</summary><p class="chart-builds">${chart.points.map((p) => html`
      <a href=${addressOf("jig", p.build)}>${p.label}: ${p.job}</a> `)}</p></details>
  </article>`;
}

/** What was learned of the shop, of each bench, fibre, lot and builder. */
function Learned({ groups }) {
  return html`<section class="learned"><h2>What the builds have taught</h2>
    <ul>${groups.map((group) => html`<li key=${`${group.level}/${group.name}`}>
      <h3>${group.level === "shop" ? LEVELS.shop : `${LEVELS[group.level] ?? group.level}: ${group.name}`}</h3>
      <p class="wait">${counted(group.builds, "build")}</p>
      ${group.learned.length === 0 ? html`<p class="wait">as the tables have it, so far</p>`
        : html`<dl>${group.learned.map((row) => html`<div><dt>${row.label}</dt><dd>${row.text}</dd></div>`)}</dl>`}</li>`)}</ul></section>`;
}
