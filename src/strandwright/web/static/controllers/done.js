/** Builds: what was made, how it read, and the papers of each. */
import { useState } from "preact/hooks";
import { counted, fractions, html, Value } from "../lib/dom.js";
import { addressOf } from "../lib/route.js";
import { makeAgain } from "../models/again.js";
import { useFetched } from "../models/fetched.js";
import { useTold } from "../models/told.js";
import { Search } from "./jobs.js";
import { Failure, momentText, WhenFetched } from "./parts.js";
import { MatchedSpare } from "./spare.js";

const KINDS = [["all", "all"], ["building", "on the jig"], ["made", "made"], ["put aside", "put aside"]];
const kindOf = (build) => (build.state === "building" || build.state === "put aside" ? build.state : "made");

/** Rows shown at first, and how many more at a time. */
const PAGE = 50;
const STATES = { building: "building", made: "logged", "put aside": "put aside" };

export function Screen() {
  const [kind, setKind] = useState("all");
  const [words, setWords] = useState("");
  const [limit, setLimit] = useState(PAGE);
  const asked = [`limit=${limit}`, STATES[kind] ? `state=${encodeURIComponent(STATES[kind])}` : "", words.trim() ? `words=${encodeURIComponent(words.trim())}` : ""];
  const fetched = useFetched(`/api/builds?${asked.filter(Boolean).join("&")}`);
  const told = useTold("/api/builds/-/outcomes", "build", "builds", fetched.value.value);
  const [failure, setFailure] = useState(/** @type {any} */ (null));
  const again = async (build) => {
    setFailure(null);
    try { location.hash = addressOf("line", await makeAgain(build.job, build.name)); } catch (error) { setFailure(error); }
  };
  return html`<section class="page"><header class="page-head"><h1>Builds done</h1>
      <div class="acts"><a class="act" href=${addressOf("again")}>Look again</a></div></header>
    <${Failure} failure=${failure} onSeen=${() => setFailure(null)} />
    <${WhenFetched} fetched=${fetched} what="The builds">${({ builds, counts, more }) => {
      const total = Object.values(counts).reduce((sum, count) => sum + count, 0);
      if (total === 0) {
        return html`<div class="empty"><p class="lead">Nothing was built yet. A build begins at a line on its strip; every round,
          reading and turn is kept from there on, and the finished line stands here with its papers.</p>
          <p class="acts"><a class="act next" href="#/">Go to the jobs at hand</a></p></div>`;
      }
      const shown = builds.map((build) => ({ ...build, ...told.rows.value[build.id] }));
      return html`<div class="acts kinds" role="group" aria-label="Which builds">${KINDS.map(([name, text]) => html`
          <button type="button" class="plain" aria-pressed=${kind === name ? "true" : "false"} onClick=${() => setKind(name)}>${text}
            <span class="wait">${name === "all" ? total : counts[STATES[name]]}</span></button>`)}</div>
        ${total > 12 || words ? html`<${Search} words=${words} setWords=${setWords} />` : null}
        <p class="unseen" role="status">${counted(shown.length, "build")} shown</p>
        ${shown.length === 0 ? html`<p class="wait">None of these.</p>` : null}
        <ul class="builds">${shown.map((build) => html`<${Build} key=${build.id} build=${build} again=${again} watch=${told.watch} />`)}</ul>
        ${more ? html`<p><button type="button" class="plain" onClick=${() => setLimit(limit + PAGE)}>Show more</button></p>` : null}`;
    }}<//></section>`;
}

function Build({ build, again, watch }) {
  const path = `/api/builds/${encodeURIComponent(build.id)}`;
  const kind = kindOf(build);
  const verdict = kind === "made" ? build.verdict || "made" : kind === "building" ? "on the jig" : "put aside";
  return html`<li class="build" ref=${watch} data-row=${build.id} data-kind=${kind} data-verdict=${build.verdict}>
    <div><h2>${build.name}</h2>
      <p class="wait">${[build.bow, build.line, build.job].filter(Boolean).join(" · ")}</p>
      <p class="verdict">${verdict}</p></div>
    <dl><div><dt>asked for</dt><dd>${fractions(build.length_text)}</dd></div>
      <div><dt>read at the end</dt><dd>${build.read_text ? html`<${Value} text=${build.read_text} />` : html`<span class="wait">not yet</span>`}</dd></div>
      <div><dt>turns</dt><dd>${fractions(build.turns_text) || html`<span class="wait">none yet</span>`}</dd></div>
      <div><dt>${build.ended_at ? "ended" : "begun"}</dt><dd>${momentText(build.ended_at || build.began_at)}</dd></div></dl>
    <div class="acts">
      ${kind === "building" ? html`<a class="act" href=${addressOf("jig", build.id)}>Go on at the jig</a>`
        : html`${kind === "made" ? html`<a class="act" href=${addressOf("service", build.id)}>On its bow</a>` : null}<button type="button" class="act" onClick=${() => again(build)}>Build another like it</button>`}
      <a class="plain" href=${`${path}/sheet.pdf`} target="_blank">Sheet</a>
      ${kind === "made" ? html`<a class="plain" href=${`${path}/tag.pdf`} target="_blank">Tag</a>` : null}
      <a class="plain" href=${`${path}/log.json`} download=${`${build.job}-log.json`}>Log</a>
      <a class="plain" href=${addressOf("line", build.job)}>Job</a></div>
    ${kind === "made" ? html`<div class="build-spare"><${MatchedSpare} build=${build} /></div>` : null}
    ${kind === "building" && build.next ? html`<p class="build-next">${fractions([build.next.title, build.next.headline].filter(Boolean).join(" · "))}</p>` : null}
  </li>`;
}
