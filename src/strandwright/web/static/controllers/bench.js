/** Benches, and the bows that come back to them. */
import { useState } from "preact/hooks";
import { counted, html } from "../lib/dom.js";
import { addressOf } from "../lib/route.js";
import { useFetched } from "../models/fetched.js";
import { idOf } from "../models/new_line_draft.js";
import { useChoices } from "./choices.js";
import { KeptEditor } from "./kept_editor.js";
import { WhenFetched } from "./parts.js";

/** @param {any} choices @returns {import("./kept_editor.js").Group[]} */
const benchGroups = (choices) => [
  { title: "Posts and beam", parts: [
    { field: "name", label: "name", such: "such as long beam" },
    { field: "zero_post", label: "diameter of the zero post", such: "such as 1/2 in" },
    { field: "far_post", label: "diameter of the far post", such: "the same" },
    { field: "loop_pin", label: "pins the finished loops are read on", such: "such as 1/4 in" },
    { field: "longest", label: "farthest apart, outside to outside", such: "such as 120 in" },
    { field: "shortest", label: "nearest, outside to outside", such: "such as 30 in" },
    { field: "post_stiffness", label: "stiffness of one post", such: "such as 150 N/mm +- 40", hint: "the pull that makes it give by so much, and how sure" },
    { field: "beam", label: "beam", options: choices.beams, usual: "wood" },
  ] },
  { title: "Swinging arms, of four posts", parts: [
    { field: "arms.between", label: "between the posts of an arm", such: "none: it has two posts", hint: "from middle to middle, such as 4 1/2 in; the posts above are then the outer ones" },
    { field: "arms.pivot", label: "where an arm turns", such: "half way", hint: "from its outer post on, such as 40 %" },
    { field: "arms.post", label: "diameter of the inner posts", such: "as the outer ones" },
  ] },
  { title: "Pull", parts: [
    { field: "rating", label: "rating of the weakest part", such: "such as 600 lbf", usual: "unknown", hint: "strap, posts and beam; unknown is a caution on every sheet, never a pass" },
    { field: "gauge", label: "what reads the load", options: choices.gauges, usual: "none" },
    { field: "gauge_uncertainty", label: "how sure that reading is", such: "such as 2 %", hint: "of the load, either way" },
    { field: "drag", label: "drag on the strand while winding", such: "such as 5 lbf +- 1" },
    { field: "layers", label: "layers of strand on the posts", usual: "2", number: true, hint: "how many lie over one another once all is wound" },
  ] },
  { title: "Measuring and serving", parts: [
    { field: "tape", label: "tape", options: choices.tapes, usual: "steel" },
    { field: "tape_reads", label: "a length is read to", such: "such as 1/32 in" },
    { field: "temperature", label: "usual temperature", such: "such as 66 degF" },
    { field: "scale_reads", label: "smallest step of the scale that weighs spools", such: "such as 1 gr" },
    { field: "bobbin", label: "thread on a full bobbin", such: "such as 8 yd" },
  ] },
];

/** @param {any} choices @returns {import("./kept_editor.js").Group[]} */
const bowGroups = (choices) => [{ title: "The bow as it came in", parts: [
  { field: "name", label: "name", such: "such as ridge bow" }, { field: "kind", label: "kind", options: choices.bow_kinds },
  { field: "draw_weight", label: "draw weight", such: "such as 60 lbf" }, { field: "axle_to_axle", label: "axle to axle", such: "such as 33 in" },
  { field: "brace_height", label: "brace height", such: "such as 6 7/8 in" }, { field: "draw_length", label: "draw length", such: "such as 29 in" },
  { field: "let_off", label: "let-off", such: "such as 80 %" }, { field: "nock.seat", label: "seat of the nock", such: "such as 0.125 in" },
] }];

export function Screen() {
  const choices = useChoices();
  const benches = useFetched("/api/benches");
  const bows = useFetched("/api/bows");
  return html`<section class="page kept-page"><header class="page-head"><h1>Bench</h1></header>
    <${WhenFetched} fetched=${benches} what="The benches">${(found) => {
      const kept = found.benches.filter((one) => !one.put_away);
      return html`${kept.length === 0 ? html`<p class="lead">No bench is kept yet. What the posts, strap and tape are decides where the posts go and how sure the length is.</p>` : null}
        ${kept.map((one) => html`<article key=${one.id}><h2>${one.bench.name || one.id}</h2>
          <${KeptEditor} kind="bench" id=${one.id} path=${`/api/benches/${encodeURIComponent(one.id)}`} revision=${one.revision} tables=${one.bench}
            groups=${benchGroups(choices)} onSaved=${() => void benches.fetch()}><${UsedBy} jobs=${one.jobs ?? []} /><//></article>`)}
        <${Further} kind="bench" taken=${found.benches.map((one) => one.id)} groups=${benchGroups(choices)} first=${kept.length === 0} onSaved=${() => void benches.fetch()} />`;
    }}<//>
    <header class="page-head further-head"><h1>Bows</h1></header>
    <${WhenFetched} fetched=${bows} what="The bows">${(found) => html`
      ${found.bows.length === 0 ? html`<p class="wait">No bow is kept by itself; each job holds its own. Keep one here if it comes back.</p>` : null}
      ${found.bows.map((one) => html`<article key=${one.id}><h2>${one.bow.name || one.id}</h2>
        <${KeptEditor} kind="bow" id=${one.id} path=${`/api/bows/${encodeURIComponent(one.id)}`} revision=${one.revision} tables=${one.bow} groups=${bowGroups(choices)} onSaved=${() => void bows.fetch()} /></article>`)}
      <${Further} kind="bow" taken=${found.bows.map((one) => one.id)} groups=${bowGroups(choices)} onSaved=${() => void bows.fetch()} />`}<//>
  </section>`;
}

function UsedBy({ jobs }) {
  if (jobs.length === 0) return html`<p class="wait small">No job uses it.</p>`;
  return html`<p class="wait small">${counted(jobs.length, "job uses", "jobs use")} it: ${jobs.map((job, k) => html`${k > 0 ? ", " : ""}<a href=${addressOf("line", job)}>${job}</a>`)}</p>`;
}

/** One more bench or bow. */
function Further({ kind, taken, groups, first = false, onSaved }) {
  const [id, setId] = useState("");
  const [name, setName] = useState("");
  const begin = (/** @type {Event} */ event) => {
    event.preventDefault();
    const stem = idOf(name) || kind.toUpperCase();
    let free = stem;
    for (let k = 2; taken.includes(free); k += 1) free = `${stem}-${k}`;
    setId(free);
  };
  if (id !== "" && !taken.includes(id)) {
    return html`<article><h2>${name || `New ${kind}`}</h2><${KeptEditor} kind=${kind} id=${id} path=${`/api/${kind === "bench" ? "benches" : "bows"}/${encodeURIComponent(id)}`}
      revision=${0} tables=${{ name }} groups=${groups} onSaved=${() => { setId(""); setName(""); onSaved(); }} /></article>`;
  }
  return html`<form class="further" onSubmit=${begin}><label class="field"><span class="label">name of a further ${kind}</span>
    <input value=${name} placeholder=${kind === "bench" ? "such as short beam" : "such as tarn bow"} onInput=${(e) => setName(e.currentTarget.value)} /></label>
    <button class=${first ? "act next" : "act"}>Add a ${kind}</button></form>`;
}
