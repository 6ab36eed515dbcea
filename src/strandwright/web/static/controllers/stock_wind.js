/** Which spools the lines of a set are best wound from, and how good that choice is. */
import { signal } from "@preact/signals";
import { useMemo } from "preact/hooks";
import { ApiError, get } from "../lib/api.js";
import { bound, counted, html } from "../lib/dom.js";
import { addressOf } from "../lib/route.js";
import { useFetched } from "../models/fetched.js";
import { announce } from "../models/shell.js";
import { Failure, Field } from "./parts.js";

const KEY = "strandwright.stock.wind";
/** Goals are told in feet, not in what the solver counts in. @type {Record<string, number>} */
const FEET = { mm: 1 / 304.8, dm: 1 / 3.048 };

class Wind {
  jobs = signal("");
  mix = signal(false);
  busy = signal(false);
  answer = signal(/** @type {any} */ (null));
  failure = signal(/** @type {any} */ (null));

  constructor() { try { this.jobs.value = sessionStorage.getItem(KEY) ?? ""; } catch { /* not allowed */ } }

  /** @param {string} jobs */
  put(jobs) { this.jobs.value = jobs; this.answer.value = null; try { sessionStorage.setItem(KEY, jobs); } catch { /* full, or not allowed */ } }

  async choose() {
    const jobs = this.jobs.value.split(/[\s,;]+/).filter(Boolean);
    this.busy.value = true;
    try {
      this.answer.value = await get(`/api/stock/-/spools?${jobs.map((job) => `job=${encodeURIComponent(job)}`).join("&")}${this.mix.value ? "&mix=true" : ""}`);
      this.failure.value = null;
      announce(this.answer.value.said);
    } catch (error) {
      if (!(error instanceof ApiError)) throw error;
      this.failure.value = error;
    } finally { this.busy.value = false; }
  }
}

export function WindFrom() {
  const wind = useMemo(() => new Wind(), []);
  const jobs = useFetched("/api/jobs").value.value?.jobs ?? [];
  const choose = (/** @type {Event} */ event) => { event.preventDefault(); void wind.choose(); };
  return html`<section class="page stock-page"><header><h1>What to wind from</h1></header>
    <form class="stock-form stock-take-in" onSubmit=${choose} novalidate aria-label="What to wind from">
      <${Field} label="Jobs of the set, in the order of winding" id="wind-jobs" hint="their ids, with blanks or commas between">
        <input id="wind-jobs" list="wind-known" autocomplete="off" spellcheck=${false} placeholder="such as RIDGE-1, RIDGE-2" value=${wind.jobs.value} aria-describedby="wind-jobs-hint" onInput=${(e) => wind.put(e.currentTarget.value)} /><//>
      <datalist id="wind-known">${jobs.map((job) => html`<option key=${job.id} value=${job.id}>${job.name}</option>`)}</datalist>
      <label class="stock-tick"><input type="checkbox" checked=${wind.mix.value} onChange=${(e) => { wind.mix.value = e.currentTarget.checked; wind.answer.value = null; }} />
        <span>A colour may come from several lots, where one does not suffice</span></label>
      <${Failure} failure=${wind.failure.value} />
      <div class="acts"><button class="act next" disabled=${wind.busy.value || wind.jobs.value.trim() === ""}>${wind.busy.value ? "Choosing…" : "Choose the spools"}</button>
        <a class="plain" href=${addressOf("stock")}>All stock</a></div></form>
    ${wind.answer.value ? html`<${Choice} choice=${wind.answer.value} />` : null}</section>`;
}

function Choice({ choice }) {
  const jobs = [...new Set(choice.lines.map((line) => line.job))];
  return html`<section class="stock-choice" aria-label="The spools"><p class="lead">${choice.said}</p>
    ${jobs.map((job) => html`<article key=${job}><h2>${job}</h2><ul>${choice.lines.filter((line) => line.job === job).map((line) => html`<li>
      <span class="stock-wanted"><span class="swatch-dot" style=${{ background: line.ware.colour }}></span> ${line.label} <span class="wait">${line.name || line.ware.colour}</span></span>
      <span>${line.pieces.map((piece) => html`<a key=${piece.spool} href=${addressOf("stock", piece.spool)}><b>${bound(piece.text)}</b>${line.rounds > 1 ? `, ${counted(piece.rounds, "round")}` : ""} from ${piece.lot ? `lot ${piece.lot}` : "a spool of no named lot"}${piece.place ? `, ${piece.place}` : ""}</a>`)}
        ${line.missing ? html`<span class="wrong">${bound(line.missing_text)} not at hand${line.rounds > 1 ? `, ${counted(line.missing, "round")} of ${line.rounds}` : ""}</span>` : null}</span></li>`)}</ul></article>`)}
    ${choice.remnants.length === 0 ? null : html`<p>Free on them afterwards: ${choice.remnants.map((one) => `${one.text}${one.lot ? ` (lot ${one.lot})` : ""}`).join("; ")}.</p>`}
    <details class="stock-paid"><summary>How good the choice is${choice.proved ? ": no other is better" : ""}</summary>
      <div class="stock-scroll"><table><thead><tr><th scope="col">Goal, the first one first</th><th scope="col">Reached</th><th scope="col">No choice has less than</th></tr></thead>
        <tbody>${choice.goals.slice(0, -1).map((goal) => html`<tr><td>${goal.name}</td><td>${toldGoal(goal, goal.value)}</td><td>${toldGoal(goal, goal.bound)}</td></tr>`)}</tbody></table></div></details></section>`;
}

/** @param {any} goal @param {number} value */
const toldGoal = (goal, value) => (goal.unit === "" ? String(value) : `${Math.round(value * FEET[goal.unit])} ft`);
