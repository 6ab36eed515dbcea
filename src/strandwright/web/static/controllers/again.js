/** Look again: which lines on bows are due, which soon, which later, whose they are, and why. */
import { useEffect, useState } from "preact/hooks";
import { bound, counted, fractions, html } from "../lib/dom.js";
import { addressOf } from "../lib/route.js";
import { useFetched } from "../models/fetched.js";
import { Search } from "./jobs.js";
import { momentText, WhenFetched } from "./parts.js";
import { MatchedSpare } from "./spare.js";

/** Rows of each part shown at first, and how many more at a time. */
const PAGE = 50;
/** Forecasts that were not reckoned yet are asked for after this [ms]. */
const PATIENCE = 400;
const dayText = (text) => (text === "" ? "no day" : text.slice(0, 10));

export function Screen() {
  const [words, setWords] = useState("");
  const [limit, setLimit] = useState(PAGE);
  const asked = [`limit=${limit}`, words.trim() ? `words=${encodeURIComponent(words.trim())}` : ""];
  const fetched = useFetched(`/api/look-again?${asked.filter(Boolean).join("&")}`);
  return html`<section class="page again-page"><header class="page-head"><h1>Look again</h1>
      <div class="acts"><a class="plain" href=${addressOf("done")}>Builds done</a></div></header>
    <${WhenFetched} fetched=${fetched} what="The lines on bows">${(told) => html`<${Register} told=${told} words=${words} setWords=${setWords} fetched=${fetched} more=${() => setLimit(limit + PAGE)} />`}<//></section>`;
}

/** @param {{told: any, words: string, setWords: (words: string) => void, fetched: import("../models/fetched.js").Fetched, more: () => void}} props */
function Register({ told, words, setWords, fetched, more }) {
  useEffect(() => {
    if (told.to_come === 0) return undefined;
    const timer = setTimeout(() => void fetched.fetch(), PATIENCE);
    return () => clearTimeout(timer);
  }, [told, fetched]);
  const { due, soon, later } = told.counts;
  const total = due + soon + later;
  if (total + told.retired.length === 0 && !words.trim()) {
    return html`<div class="empty"><p class="lead">No line is on a bow yet. A finished line stands here from the day it is put on its bow,
      with the day on which it wants looking at again.</p>
      <p class="acts"><a class="act next" href=${addressOf("done")}>Go to the builds that are done</a></p></div>`;
  }
  const parts = [["due", "Due", told.due], ["soon", `Within ${told.soon_days} days`, told.soon], ["later", "Later", told.later]];
  return html`<p class="lead">${due === 0 ? "Nothing is due." : `${counted(due, "line is", "lines are")} due.`} <span class="wait">${counted(soon, "more", "more")} within ${told.soon_days} days, ${later} later.</span></p>
    ${total > 6 || words ? html`<${Search} words=${words} setWords=${setWords} />` : null}
    ${told.to_come > 0 ? html`<p class="wait" role="status">${counted(told.to_come, "forecast is", "forecasts are")} still being reckoned; until then such a line goes by what sources say.</p>` : null}
    ${total === 0 ? html`<p class="wait">None of these is on a bow.</p>` : null}
    ${parts.map(([when, title, rows]) => (rows.length === 0 ? null : html`<section class="again-part" key=${when} data-when=${when}>
      <h2>${title}</h2><ul class="again-rows">${rows.map((row) => html`<${Row} key=${row.build} row=${row} disagree=${told.disagree} />`)}</ul></section>`))}
    ${told.more.length > 0 ? html`<p><button type="button" class="plain" onClick=${more}>Show more</button></p>` : null}
    <${Bows} bows=${told.bows} />
    <${Retired} rows=${told.retired} />`;
}

function Row({ row, disagree }) {
  return html`<li class="again-row" data-build=${row.build} data-when=${row.when} data-stop=${row.status === "do not draw" ? "yes" : null}>
    <p class="again-day">${dayText(row.due_at)}</p>
    <div class="again-what"><h3><a href=${addressOf("service", row.build)}>${row.name}</a></h3>
      <p class="wait">${[row.customer, row.bow, row.line].filter(Boolean).join(" · ")}</p>
      <p class="again-why">${fractions(row.why)}</p>
      <details><summary>On it since ${dayText(row.fitted_at)}: ${row.shots.toLocaleString("en")} shots, ${fractions(row.turns_text)}</summary>
        <p class="small">Looked over: ${row.looked_text}. Waxed: ${row.waxed_text}.</p>
        ${row.groups.map((group) => html`<h4 key=${group.about}>${group.title}</h4><ul class="again-sources">${group.intervals.map((one) => html`<${Source} one=${one} />`)}</ul>`)}
        <p class="small wait">${disagree}</p></details></div></li>`;
}

/** What one source says, for itself. */
function Source({ one }) {
  const days = [...new Set([one.first, one.last].filter(Boolean))].join(" to ");
  const marks = [one.now, one.holds ? "" : "not told of a bow shot so little"].filter(Boolean).join("; ");
  return html`<li data-now=${one.now}>${days ? html`<b>${days}</b>${one.by_pace ? " at its pace" : ""}: ` : null}${bound(one.said)}
${" "}<span class="wait">(${one.source}; ${one.kind}${marks ? `; ${marks}` : ""})</span>${one.note ? html` <span class="small">${one.note}</span>` : null}</li>`;
}

/** What is on which bow, since when. */
function Bows({ bows }) {
  if (bows.length === 0) return null;
  return html`<details class="again-bows"><summary>By bow: ${counted(bows.length, "bow")}</summary>
    <ul>${bows.map((one) => html`<li key=${`${one.customer}/${one.bow}`}><b>${one.bow || "a bow without a name"}</b>${one.customer ? `, ${one.customer}` : ""}
      <ul>${one.lines.map((line) => html`<li key=${line.build}><a href=${addressOf("service", line.build)}>${line.line || "line"}</a> since ${dayText(line.since)}, ${line.shots.toLocaleString("en")} shots</li>`)}</ul></li>`)}</ul></details>`;
}

/** Lines off for good; the bow's next one starts from the record of the last. */
function Retired({ rows }) {
  if (rows.length === 0) return null;
  return html`<details class="again-off"><summary>Taken off for good: ${counted(rows.length, "line")}</summary>
    <ul class="again-rows">${rows.map((row) => html`<li class="again-row" key=${row.build} data-build=${row.build}>
      <p class="again-day">${dayText(row.retired_at)}</p>
      <div class="again-what"><h3><a href=${addressOf("service", row.build)}>${row.name}</a></h3>
        <p class="wait">${[row.customer, row.bow, row.line].filter(Boolean).join(" · ")}</p>
        <p class="again-why">${row.why || "no reason was written"}; put on ${momentText(row.fitted_at)}, ${row.shots.toLocaleString("en")} shots</p>
        <${MatchedSpare} build=${{ id: row.build, job: row.job, name: row.name }} label="Make this bow's next line" /></div></li>`)}</ul></details>`;
}
