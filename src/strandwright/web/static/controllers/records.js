/** Records: whether everything kept here is safe, taken along, and lists brought in. */
import { useState } from "preact/hooks";
import { post } from "../lib/api.js";
import { counted, html } from "../lib/dom.js";
import { useFetched } from "../models/fetched.js";
import { announce } from "../models/shell.js";
import { useTrying } from "./people.js";
import { Failure, momentText, WhenFetched } from "./parts.js";
import { Terms } from "./records_terms.js";
import { BringIn } from "./records_list.js";

/** Backups that are seen at a glance. */
const GLANCE = 3;

export function Screen() {
  const fetched = useFetched("/api/records");
  // Only one thing calls: a list that was looked at and waits to be kept, or else the backups.
  const [ready, setReady] = useState(false);
  return html`<section class="page records-page"><header class="page-head"><h1>Records</h1></header>
    <${WhenFetched} fetched=${fetched} what="How backups went">${(found) => html`<${Backups} found=${found} again=${() => fetched.fetch()} calls=${!ready} />`}<//>
    <${TakeAlong} />
    <${BringIn} onReady=${setReady} /></section>`;
}

/** What is to be done next about backups. @param {any} found */
function nextOf(found) {
  if (found.terms === null) return "terms";
  if (!found.is_here) return "";
  if (found.is_failing || found.good === null) return "take";
  return found.drill === null && found.files.length > 0 ? "drill" : "";
}

function Backups({ found, again, calls }) {
  const { failure, setFailure, busy, trying } = useTrying();
  const [doing, setDoing] = useState("");
  const next = calls ? nextOf(found) : "";
  const act = (what, path, said) => trying(async () => {
    setDoing(what);
    try { await post(path, {}); announce(said); } finally { setDoing(""); await again(); }
  });
  const drill = (name) => act(name, `/api/records/backups/${name}/drill`, "The drill is over.");
  const newest = found.files[0];
  return html`<section class="backups" aria-label="Backups"><h2>Backups</h2>
    <${Standing} found=${found} />
    <${Failure} failure=${found.is_failing ? null : failure} onSeen=${() => setFailure(null)} />
    ${found.terms !== null && found.is_here ? html`<p class="acts">
      <button type="button" class=${next === "take" ? "act next" : "act"} disabled=${busy} onClick=${() => act("take", "/api/records/backups/now", "A backup is taken.")}>${doing === "take" ? "Taking it…" : "Take a backup now"}</button>
      ${newest ? html`<button type="button" class=${next === "drill" ? "act next" : "act"} disabled=${busy} onClick=${() => drill(newest.name)}>${doing === newest.name ? "Restoring it for trial…" : "Drill the newest"}</button>` : null}</p>` : null}
    <${LastDrill} drill=${found.drill} good=${found.good} />
    ${found.is_here ? html`<${Files} files=${found.files} busy=${busy} doing=${doing} drill=${drill} rule=${found.rule} />` : null}
    <${Terms} key=${found.revision} found=${found} again=${again} next=${next === "terms"} /></section>`;
}

/** When the last good one was, and whether one failed since. */
function Standing({ found }) {
  const { good, failed } = found;
  const at = good === null ? null : html`The last good backup was taken on <b>${momentText(good.at)}</b>: ${counted(good.records, "record")}, read back to its end.`;
  if (found.terms === null && good === null) return html`<p class="lead">No backup is taken yet. If this computer's disk fails, everything kept here is lost.</p>`;
  if (found.is_failing) {
    return html`<div class="told" role="alert"><p>The backup of <b>${momentText(failed.at)}</b> failed. ${failed.why}</p>
      <p>${at ?? "No backup was taken before it."} ${found.next_at ? html`It is tried again from ${momentText(found.next_at)} on.` : null}</p></div>`;
  }
  return html`<p class="lead">${at ?? "None is taken yet."} ${coming(found)}</p>
    ${failed ? html`<p class="wait">One failed on ${momentText(failed.at)}: ${failed.why}</p>` : null}`;
}

/** @param {any} found */
function coming(found) {
  if (found.terms === null) return "";
  if (found.terms.paused) return html`<b>None is taken by the clock</b>: that is paused.`;
  if (!found.is_here) return html`They are taken by the computer <b>${found.terms.computer}</b>, while the app is open there.`;
  return found.next_at ? html`The next is due on ${momentText(found.next_at)}, or when the app is next open.` : "The first is taken within a minute.";
}

const PROVED = { proved: "proved", "in doubt": "in doubt", failed: "failed" };

/** When the last drill was, and what it proved. */
function LastDrill({ drill, good }) {
  if (drill === null && good === null) return null;
  if (drill === null) return html`<p class="wait">No backup was ever restored for trial. A drill restores one beside the store, compares every record and opens some builds.</p>`;
  return html`<section class="drill" data-proved=${drill.proved} aria-label="The last drill"><h3>The last drill: <span class="drill-proved">${PROVED[drill.proved]}</span></h3>
    <p class="wait">${momentText(drill.at)}, of ${drill.file}</p>
    <ul>${(drill.said ?? []).map((line) => html`<li>${line}</li>`)}</ul></section>`;
}

function Files({ files, busy, doing, drill, rule }) {
  if (files.length === 0) return null;
  const row = (one) => html`<li key=${one.name}><span><b>${momentText(one.at)}</b> <span class="wait">${one.name}</span></span><span class="wait value">${sizeText(one.bytes)}</span>
    <button type="button" class="plain" disabled=${busy} onClick=${() => drill(one.name)}>${doing === one.name ? "Restoring…" : "Drill it"}</button></li>`;
  return html`<div><ul class="backup-files">${files.slice(0, GLANCE).map(row)}</ul>
    ${files.length > GLANCE ? html`<details><summary>${counted(files.length - GLANCE, "older one")}</summary><ul class="backup-files">${files.slice(GLANCE).map(row)}</ul></details>` : null}
    <p class="wait backup-rule">${rule.charAt(0).toUpperCase()}${rule.slice(1)}.</p></div>`;
}

/** @param {number} bytes */
function sizeText(bytes) {
  return bytes < 1e6 ? `${Math.max(1, Math.round(bytes / 1e3))} kB` : `${(bytes / 1e6).toFixed(1)} MB`;
}

/** Everything as files for other programs. */
function TakeAlong() {
  const [units, setUnits] = useState("in");
  return html`<section aria-label="Take it along"><h2>Take it along</h2>
    <p>Everything kept here as CSV files for a spreadsheet, one a kind, with a README that tells every column. Names of customers are in them.</p>
    <div class="further records-row"><div class="field"><label for="csv-units">Plain numbers in</label>
      <select id="csv-units" value=${units} onChange=${(e) => setUnits(e.currentTarget.value)}><option value="in">inches and pounds</option><option value="mm">millimetres and newtons</option></select></div>
      <a class="act" href=${`/api/records/csv.zip?units=${units}`} download>Download the CSV files</a></div>
    <p>For comparing shops: every build with its numbers and readings, without names, identities, notes and dates.</p>
    <p class="acts"><a class="act" href="/api/records/builds.json" download>Download builds without names</a></p></section>`;
}
