/** Jobs at hand: each with its one next act. */
import { useState } from "preact/hooks";
import { counted, fractions, html } from "../lib/dom.js";
import { post } from "../lib/api.js";
import { addressOf } from "../lib/route.js";
import { makeAgain } from "../models/again.js";
import { useFetched } from "../models/fetched.js";
import { useTold } from "../models/told.js";
import { announce } from "../models/shell.js";
import { useChoices } from "./choices.js";
import { CordSign, Failure, WhenFetched } from "./parts.js";
import { Sets } from "./sets.js";

/** Rows of a state that are shown at first, and how many more at a time. */
const PAGE = 50;
/** From so many jobs on there is a field to search them. */
const MANY = 12;

export function Screen() {
  const [words, setWords] = useState("");
  const [limit, setLimit] = useState(PAGE);
  const fetched = useFetched(`/api/jobs?limit=${limit}${words.trim() ? `&words=${encodeURIComponent(words.trim())}` : ""}`);
  const told = useTold("/api/jobs/-/next-acts", "job", "jobs", fetched.value.value);
  const [failure, setFailure] = useState(/** @type {any} */ (null));
  const [showAway, setShowAway] = useState(false);
  /** @param {() => Promise<void>} work */
  const trying = async (work) => {
    setFailure(null);
    try { await work(); } catch (error) { setFailure(error); }
  };
  return html`<section class="page jobs-page">
    <header class="page-head"><h1>Jobs at hand</h1>
      ${totalOf(fetched.value.value) > 0 ? html`<div class="acts"><a class="act" href="#/new">New line</a><${Import} trying=${trying} /></div>` : null}</header>
    <${Failure} failure=${failure} onSeen=${() => setFailure(null)} />
    <${WhenFetched} fetched=${fetched} what="The jobs">${(found) => {
      if (totalOf(found) === 0) return html`<${Empty} trying=${trying} />`;
      const rows = found.jobs.map((job) => ({ ...job, told: told.rows.value[job.id] }));
      const away = rows.filter((job) => job.put_away);
      const here = rows.filter((job) => !job.put_away);
      const pressing = here.find((job) => job.state === "building") ?? here.find((job) => job.state !== "done");
      const shown = showAway ? [...here, ...away] : here;
      const awayCount = words.trim() ? away.length : found.counts["put away"] ?? 0;
      const more = found.more.some((state) => state !== "put away" || showAway);
      return html`${totalOf(found) > MANY || words ? html`<${Search} words=${words} setWords=${setWords} />` : null}
        ${here.length === 0 && !showAway && !words ? html`<p>Nothing is at hand: every job is put away. <a href="#/new">Start a new line</a>, or bring one back.</p>` : null}
        ${shown.length === 0 && words ? html`<p class="wait" role="status">No job has these words.</p>` : null}
        <ul class="jobs">${shown.map((job) => html`<${Job} key=${job.id} job=${job} pressing=${job === pressing} trying=${trying} watch=${told.watch} />`)}</ul>
        ${more ? html`<p><button type="button" class="plain" onClick=${() => setLimit(limit + PAGE)}>Show more</button></p>` : null}
        ${awayCount > 0 ? html`<p><button type="button" class="plain" aria-pressed=${showAway ? "true" : "false"} onClick=${() => setShowAway(!showAway)}>${
          showAway ? "Hide what is put away" : `Show ${counted(awayCount, "job")} put away`}</button></p>` : null}
        ${here.length > 0 ? html`<${Sets} jobs=${here} />` : null}`;
    }}<//>
  </section>`;
}

/** How many jobs there are, whatever is shown. @param {any} found */
const totalOf = (found) => Object.values(found?.counts ?? {}).reduce((sum, count) => sum + count, 0);

/** @param {{words: string, setWords: (words: string) => void}} props */
export function Search({ words, setWords }) {
  return html`<p class="search"><label>Find <input type="search" value=${words} placeholder="name, customer, bow, number"
    onInput=${(e) => setWords(e.currentTarget.value)} /></label></p>`;
}

/** Told by the state, the one act that comes next. */
function NextAct({ job, pressing, trying }) {
  const klass = pressing ? "act next" : "act";
  if (job.state === "building") return html`<a class=${klass} href=${addressOf("jig", job.build)}>Go on at the jig</a>`;
  if (job.state === "done") {
    return html`<button type="button" class=${klass} onClick=${() => trying(async () => {
      const made = await makeAgain(job.id, job.name);
      location.hash = addressOf("line", made);
    })}>Build another like it</button>`;
  }
  return html`<a class=${klass} href=${addressOf("line", job.id)}>${job.told?.state === "cannot be planned" ? "Mend the job" : "Look it over and start"}</a>`;
}

/** What the act is about, in the program's own words. */
function saidOf(job) {
  if (!job.told) return job.state === "to start" ? "" : job.state === "done" ? "done" : "on the jig";
  if (job.told.state === "cannot be planned") return job.told.said;
  const { title, headline, said } = job.told.next;
  if (job.state === "done") return said ? `done: ${said}` : "done";
  return job.state === "building" ? [title, headline, said].filter(Boolean).join(" · ") : headline || said;
}

function Job({ job, pressing, trying, watch }) {
  const about = [job.customer, job.bow, job.line, job.told?.length_text, job.strands ? `${job.strands} strands` : ""].filter(Boolean).join(" · ");
  const away = () => trying(async () => {
    await post(`/api/jobs/${encodeURIComponent(job.id)}/away`, { revision: job.revision, put_away: !job.put_away });
    announce(job.put_away ? `${job.name} is at hand again` : `${job.name} is put away`);
  });
  const state = job.told?.state ?? job.state;
  return html`<li class="job" ref=${watch} data-row=${job.id} data-state=${state} data-away=${job.put_away ? "yes" : null}>
    <${CordSign} colours=${job.colours ?? []} />
    <div class="job-what"><h2><a href=${addressOf("line", job.id)}>${job.name}</a></h2>
      <p class="wait">${fractions(about)} · <span class="value">${job.id}</span></p>
      <p class=${state === "cannot be planned" ? "wrong" : "job-next"}>${fractions(saidOf(job))}</p></div>
    <div class="job-acts"><${NextAct} job=${job} pressing=${pressing} trying=${trying} />
      <button type="button" class="plain small" aria-label=${`${job.put_away ? "Bring back" : "Put away"} ${job.name}`} onClick=${away}>${job.put_away ? "bring back" : "put away"}</button></div>
  </li>`;
}

/** Take in a job file. */
function Import({ trying }) {
  const take = (/** @type {any} */ event) => trying(async () => {
    const [file] = event.currentTarget.files;
    if (!file) return;
    const toml = await file.text();
    event.target.value = "";
    const made = await post("/api/jobs", { toml });
    location.hash = addressOf("line", made.id);
  });
  return html`<label class="act file">Take in a job file<input type="file" accept=".toml,application/toml,text/plain" onChange=${take} /></label>`;
}

/** The first act of all. */
function Empty({ trying }) {
  const { examples } = useChoices();
  const open = (/** @type {string} */ id) => trying(async () => {
    let made = { id };
    // The example that is here already is opened, not refused.
    try { made = await post("/api/jobs", { example: id }); } catch (error) { if (error.status !== 409) throw error; }
    location.hash = addressOf("line", made.id);
  });
  return html`<div class="empty">
    <p class="lead">No line is at hand. Read the worn one from its zero end, write where each serving starts and stops,
      and the program works out the posts, the rounds, the turns and every mark.</p>
    <p class="acts"><a class="act next" href="#/new">Start a new line from its shorthand</a></p>
    <div class="empty-ways">
      <section><h2>See a worked one first</h2><p>An invented bow, every field filled in. Change it as you like.</p>
        <p class="acts"><button type="button" class="act" onClick=${() => open("RIDGE-1")}>Open the string of the ridge bow</button></p>
        ${examples.length > 1 ? html`<details><summary>others</summary><ul>${examples.filter((one) => one.id !== "RIDGE-1").map((one) => html`
          <li><button type="button" class="plain" onClick=${() => open(one.id)}>${one.name}</button></li>`)}</ul></details>` : null}</section>
      <section><h2>Have a job file already?</h2><p>A job is one readable text file; take it in and go on where it stands.</p>
        <p class="acts"><${Import} trying=${trying} /></p></section>
    </div></div>`;
}
