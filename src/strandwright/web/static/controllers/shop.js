/** The shop: whether its bench is in control, and what its finished builds have taught. */
import { useState } from "preact/hooks";

import { post } from "../lib/api.js";
import { bound, counted, html } from "../lib/dom.js";
import { addressOf } from "../lib/route.js";
import { useFetched } from "../models/fetched.js";
import { may } from "../models/visitor.js";
import { Failure, momentText, WhenFetched } from "./parts.js";
import { Chart } from "./shop_chart.js";
import { Remakes } from "./shop_remakes.js";

const LEVELS = { shop: "The whole shop", bench: "Bench", family: "Family of fibres", fibre: "Fibre", lot: "Lot", builder: "Builder" };

export function Screen() {
  const width = Math.round(Math.min(Math.max(document.documentElement.clientWidth - 48, 300), 560));
  const fetched = useFetched(`/api/shop?width=${width}`);
  const again = () => fetched.fetch();
  return html`<section class="page shop-page"><header class="page-head"><h1>The shop</h1>
      <div class="acts no-print"><a class="act" href=${addressOf("terms")}>Terms and prices</a>
        ${may("owner") ? html`<a class="act" href=${addressOf("records")}>Records and backups</a>` : null}
        <button type="button" class="plain small" onClick=${() => window.print()}>Print this page</button></div></header>
    <${WhenFetched} fetched=${fetched} what="The shop's builds">${(shop) => (shop.builds === 0 ? html`<${Nothing} />` : html`
      <p class="lead">${taught(shop)}</p>
      <${Doubts} shop=${shop} again=${again} />
      ${shop.charts.length === 0 ? html`<p class="wait">Charts begin with the second finished build.</p>` : null}
      <div class="charts">${shop.charts.map((chart) => html`<${Chart} key=${chart.name} chart=${chart} without=${chart.name === "length" ? unread(shop, chart) : []} />`)}</div>
      <${Learned} groups=${shop.groups} />
      <${Remakes} remakes=${shop.remakes} />
      <${LeaveOut} shop=${shop} again=${again} />`)}<//></section>`;
}

/** Every build that is in some chart, by its number. @param {any} shop */
function charted(shop) {
  const all = new Map(shop.charts.flatMap((chart) => chart.points).map((point) => [point.build, point]));
  return [...all.values()].sort((a, b) => Number(a.label) - Number(b.label));
}

/** Builds that a chart has nothing of, though other charts have. @param {any} shop @param {any} chart */
function unread(shop, chart) {
  const here = new Set(chart.points.map((point) => point.build));
  return charted(shop).filter((point) => !here.has(point.build)).map((point) => point.label);
}

/** @param {any} shop */
function taught(shop) {
  const out = shop.builds - shop.teaching;
  const said = `${counted(shop.teaching, "finished build")} ${shop.teaching === 1 ? "teaches" : "teach"} the next plan`;
  return out === 0 ? `${said}.` : `${said}; ${counted(out, "more is", "more are")} left out.`;
}

function Nothing() {
  return html`<div class="empty"><p class="lead">No build is finished yet. Each one that is proved and locked teaches the
    next: what this bench, this fibre and this lot really do goes before the tables, and here stands how steady the bench is.</p>
    <p class="acts"><a class="act next" href="#/">Go to the jobs at hand</a></p></div>`;
}

/** Builds that do not fit the others, and those that were left out: each can go the other way. */
function Doubts({ shop, again }) {
  if (shop.doubts.length + shop.left_out.length === 0 && shop.doubts_said === "") return null;
  return html`<section class="doubts" aria-label="Builds in doubt">
    ${shop.doubts_said === "" ? null : html`<p>${shop.doubts_said}</p>`}
    ${shop.doubts.map((one) => html`<article key=${one.build} class="doubt" data-build-in-doubt=${one.number}>
      <p>${bound(one.text)}</p><p class="acts no-print"><a class="act" href=${addressOf("jig", one.build)}>Open ${one.name}</a></p>
      <${Reason} build=${one.build} name=${one.name} again=${again} /></article>`)}
    ${shop.left_out.map((one) => html`<${LeftOut} key=${one.build} one=${one} again=${again} />`)}</section>`;
}

/** Why a build is left out, and the act. */
function Reason({ build, name, again }) {
  const [because, setBecause] = useState("");
  const [failure, setFailure] = useState(/** @type {any} */ (null));
  const leave = async (/** @type {Event} */ event) => {
    event.preventDefault();
    try {
      await post(`/api/shop/builds/${build}/aside`, { left_out: true, because });
      setFailure(null);
      await again();
    } catch (error) { setFailure(error); }
  };
  const id = `because-${build}`;
  return html`<form class="reason no-print" onSubmit=${leave}>
    <label for=${id}>Why it is left out</label>
    <input id=${id} value=${because} maxlength="200" autocomplete="off" placeholder="one strand too many" onInput=${(event) => setBecause(event.target.value)} />
    <button type="submit" class="act" disabled=${because.trim() === ""}>Leave ${name} out</button>
    <${Failure} failure=${failure} onSeen=${() => setFailure(null)} /></form>`;
}

function LeftOut({ one, again }) {
  const [failure, setFailure] = useState(/** @type {any} */ (null));
  const take = async () => {
    try {
      await post(`/api/shop/builds/${one.build}/aside`, { left_out: false });
      await again();
    } catch (error) { setFailure(error); }
  };
  return html`<article class="doubt" data-build-left-out=${one.number}>
    <p><b>Left out: ${one.name}.</b> ${one.because} <span class="wait">(${momentText(one.at)})</span>. ${bound(one.text)}</p>
    <p class="acts no-print"><button type="button" class="act" onClick=${take}>Take ${one.name} in again</button>
      <a class="plain" href=${addressOf("jig", one.build)}>Open it</a></p>
    <${Failure} failure=${failure} onSeen=${() => setFailure(null)} /></article>`;
}

/** What was learned of the shop, of each bench, fibre, lot and builder. */
function Learned({ groups }) {
  if (groups.length === 0) return null;
  return html`<section class="learned"><h2>What the builds have taught</h2>
    <p class="wait">What a next line of each is expected to be, beside what the tables alone say of it.</p>
    <ul>${groups.map((group) => html`<li key=${`${group.level}/${group.name}`}>
      <h3>${group.level === "shop" ? LEVELS.shop : `${LEVELS[group.level] ?? group.level}: ${group.name}`}</h3>
      <p class="wait">${counted(group.builds, "build")}</p>
      ${group.learned.length === 0 ? html`<p class="wait">as the tables have it, so far</p>` : html`<div>
        <dl>${group.learned.map((row) => html`<div><dt>${row.label}</dt><dd><${Told} text=${row.text} /></dd></div>`)}</dl>
        ${group.next === "" ? null : html`<p class="next-line">${bound(group.next)}</p>`}</div>`}</li>`)}</ul></section>`;
}

/** What is known, and what the table alone had said of it, which may wait. */
function Told({ text }) {
  const [known, alone] = bound(text).split("; ");
  return html`${known}<span class="wait">; ${alone}</span>`;
}

/** Any other build can be left out as well: somebody may know what no number shows. */
function LeaveOut({ shop, again }) {
  const [build, setBuild] = useState("");
  const told = new Set([...shop.left_out, ...shop.doubts].map((one) => one.build));
  const points = charted(shop).filter((point) => !told.has(point.build));
  const chosen = points.find((point) => point.build === build);
  if (points.length === 0) return null;
  return html`<details class="leave-out no-print"><summary>Leave out a build that something was wrong with</summary>
    <p class="wait">It stays in the charts and in the records, and teaches nothing until it is taken in again.</p>
    <div class="field"><label for="which-build">Build</label><select id="which-build" value=${chosen ? build : ""} onChange=${(event) => setBuild(event.target.value)}>
      <option value="">choose</option>
      ${points.map((point) => html`<option key=${point.build} value=${point.build}>${point.label}: ${point.job}, ${momentText(point.at)}</option>`)}</select></div>
    ${chosen ? html`<${Reason} key=${build} build=${build} name=${`build ${chosen.label} (${chosen.job})`} again=${again} />` : null}</details>`;
}
