/** The queue: what is done when, on which bench, by whom; what is late, why, and what would mend it. */
import { useState } from "preact/hooks";
import { ApiError, get, post } from "../lib/api.js";
import { bound, html } from "../lib/dom.js";
import { addressOf } from "../lib/route.js";
import { useFetched } from "../models/fetched.js";
import { byDay, keyOf, shifted } from "../models/queue_days.js";
import { Failure, WhenFetched } from "./parts.js";
import { Day } from "./queue_day.js";
import { Settings } from "./queue_settings.js";

export function Screen() {
  const fetched = useFetched("/api/queue");
  return html`<section class="page queue-page"><header class="page-head"><h1>Queue</h1>
      <div class="acts no-print"><a class="act" href="/api/queue/day.pdf" target="_blank" rel="noopener">Print today's list</a></div></header>
    <${WhenFetched} fetched=${fetched} what="The queue">${(queue) => html`<${Board} queue=${queue} fetched=${fetched} />`}<//></section>`;
}

/** @param {{queue: any, fetched: import("../models/fetched.js").Fetched}} props */
function Board({ queue, fetched }) {
  const [chosen, setChosen] = useState("");
  const [failure, setFailure] = useState(/** @type {any} */ (null));
  const [busy, setBusy] = useState(false);
  const send = async (path, body) => {
    setBusy(true);
    setFailure(null);
    try { fetched.value.value = await post(path, { revision: queue.revision, ...body }); } catch (error) {
      setFailure(error instanceof ApiError ? error : new ApiError(String(error)));
    }
    setBusy(false);
  };
  const hold = (task, start) => send("/api/queue/pin", { job: task.job, step: task.step, start });
  const free = (task) => send("/api/queue/unpin", { job: task.job, step: task.step });
  const task = queue.tasks.find((one) => keyOf(one) === chosen);
  const late = queue.jobs.filter((job) => job.late_min > 0);
  if (queue.jobs.length === 0) {
    return html`<p class="lead">Nothing waits to be built. A line is here once its order is accepted, or its job is kept without an order.</p>
      <${Settings} queue=${queue} fetched=${fetched} />`;
  }
  return html`<p class="lead">${bound(queue.headline)}.</p>
    ${queue.said.map((text) => html`<p class="wait queue-said">${bound(text)}</p>`)}
    ${queue.caution ? html`<p class="caution">${queue.caution}</p>` : null}
    ${queue.flags.map((flag) => html`<p class="told" key=${flag.job}>${flag.job} ${flag.said}: ${flag.why}; <b>${flag.remedy}</b>
      <button type="button" class="plain" disabled=${busy} onClick=${() => free(flag)}>Let it go</button></p>`)}
    ${queue.unplanned.map((one) => html`<p class="told" key=${one.job}>${one.job} is left out: ${one.said}</p>`)}
    <${Failure} failure=${failure} onSeen=${() => setFailure(null)} />
    ${busy ? html`<p class="wait" role="status">Laying it out anew…</p>` : null}
    ${late.map((job) => html`<${Late} key=${job.job} job=${job} />`)}
    <div class="queue-days" data-busy=${busy ? "yes" : null}>${byDay(queue).map((day) => html`<${Day} key=${day.day} day=${day} queue=${queue} chosen=${chosen} choose=${setChosen} hold=${hold} />`)}</div>
    ${task ? html`<${Chosen} key=${chosen} task=${task} busy=${busy} hold=${hold} free=${free} close=${() => setChosen("")} />` : null}
    <p class="queue-key small wait no-print"><span><i data-part="hands"></i> hands at work</span> <span><i data-part="stands"></i> stands under load by itself</span> <span><i data-part="shut"></i> closed</span></p>
    <${Settings} queue=${queue} fetched=${fetched} />`;
}

/** Why a job is late, and on asking what would mend it. */
function Late({ job }) {
  const [found, setFound] = useState(/** @type {any} */ (null));
  const [busy, setBusy] = useState(false);
  const [failure, setFailure] = useState(/** @type {any} */ (null));
  const ask = async () => {
    setBusy(true);
    try { setFound(await get(`/api/queue/late/${encodeURIComponent(job.job)}`)); } catch (error) { setFailure(error); }
    setBusy(false);
  };
  return html`<section class="queue-late" data-job=${job.job}><h2><a href=${addressOf("line", job.job)}>${job.job}</a> is late: due ${job.due_text}, done ${job.done_text}</h2>
    <details><summary>Why</summary><ol>${job.why.map((text) => html`<li>${bound(text)}</li>`)}</ol></details>
    <${Failure} failure=${failure} />
    ${found === null ? html`<p><button type="button" class="act" disabled=${busy} onClick=${ask}>${busy ? "Trying each, laid out anew…" : "What would mend it?"}</button></p>`
      : found.mends.length === 0 ? html`<p>Nothing that was tried helps: no other job put back, nothing let go, no two hours longer.</p>`
        : html`<ul>${found.mends.map((one) => html`<li data-cures=${one.cures ? "yes" : null}>${bound(one.said)}.</li>`)}</ul>`}</section>`;
}

/** A task taken in hand: what is done, and where it is to begin. */
function Chosen({ task, busy, hold, free, close }) {
  const [start, setStart] = useState(task.start);
  return html`<aside class="queue-chosen no-print" aria-label="The chosen task"><header><h2><a href=${addressOf("line", task.job)}>${task.job}</a></h2>
      <button type="button" class="plain" onClick=${close}>Close</button></header>
    <p>${task.acts.map((act) => `${act.title} (${act.minutes} min)`).join(", ")}</p>
    <p class="wait">${[task.bench, task.hand, task.stands_min ? `then under load ${task.stands_min} min, let down at ${task.down.slice(11)}` : "", task.rests_min ? `then rests ${task.rests_min} min` : ""].filter(Boolean).join(" · ")}</p>
    <form class="acts" onSubmit=${(e) => { e.preventDefault(); void hold(task, start); }}>
      <div class="field"><label for="queue-start">Begins</label><input id="queue-start" type="datetime-local" step="300" value=${start} onInput=${(e) => setStart(e.currentTarget.value)} /></div>
      <button type="button" class="act" onClick=${() => setStart(shifted(start, -15))}>15 min sooner</button>
      <button type="button" class="act" onClick=${() => setStart(shifted(start, 15))}>15 min later</button>
      <button type="submit" class="act next" disabled=${busy}>Hold it to this start</button>
      ${task.pinned ? html`<button type="button" class="act" disabled=${busy} onClick=${() => free(task)}>Let it go</button>` : null}</form></aside>`;
}
