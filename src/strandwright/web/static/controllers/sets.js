/** Sets among the jobs at hand: those there are, and making one of jobs that are ticked. */
import { useState } from "preact/hooks";
import { counted, html } from "../lib/dom.js";
import { post } from "../lib/api.js";
import { addressOf } from "../lib/route.js";
import { useFetched } from "../models/fetched.js";
import { idOf } from "../models/new_line_draft.js";
import { Failure, Field } from "./parts.js";

/** Most lines that a set holds. */
const MOST = 10;

/** @param {{jobs: any[]}} props */
export function Sets({ jobs }) {
  const fetched = useFetched("/api/sets");
  const [making, setMaking] = useState(false);
  const sets = (fetched.value.value?.sets ?? []).filter((set) => !set.put_away);
  const gone = (fetched.value.value?.sets ?? []).filter((set) => set.put_away);
  return html`<section class="sets"><div class="sets-head"><h2>Sets</h2>
      ${making ? null : html`<button type="button" class="plain" onClick=${() => setMaking(true)}>Make a set</button>`}</div>
    ${sets.length === 0 && !making ? html`<p class="wait">The lines of one bow can be planned together: one cut list, one order of winding.</p>` : null}
    <ul>${[...sets, ...gone].map((set) => html`<li key=${set.id} data-away=${set.put_away ? "yes" : null}><a href=${addressOf("set", set.id)}>${set.name}</a>
      <span class="wait">${[counted(set.lines.length, "line"), doneText(set), set.put_away ? "put away" : "", set.id].filter(Boolean).join(" · ")}</span></li>`)}</ul>
    ${making ? html`<${Make} jobs=${jobs} onDone=${() => setMaking(false)} />` : null}</section>`;
}

/** @param {any} set */
function doneText(set) {
  const done = set.lines.filter((line) => line.state === "logged").length;
  const going = set.lines.filter((line) => line.state === "building").length;
  return [done > 0 ? `${done} built` : "", going > 0 ? `${going} on the jig` : ""].filter(Boolean).join(", ");
}

/** @param {{jobs: any[], onDone: () => void}} props */
function Make({ jobs, onDone }) {
  const [ticked, setTicked] = useState(/** @type {string[]} */ ([]));
  const [typed, setTyped] = useState({ name: "", id: "", one: "", other: "" });
  const [failure, setFailure] = useState(/** @type {any} */ (null));
  const [busy, setBusy] = useState(false);
  const chosen = jobs.filter((job) => ticked.includes(job.id));
  const bow = chosen[0]?.bow ?? "";
  const suggested = { name: bow ? `Lines of the ${bow}` : "", id: idOf(bow) };
  const tick = (id) => setTicked(ticked.includes(id) ? ticked.filter((one) => one !== id) : [...ticked, id]);
  const send = async (event) => {
    event.preventDefault();
    setBusy(true);
    setFailure(null);
    const set = { id: typed.id.trim() || suggested.id, name: typed.name.trim() || suggested.name, lines: chosen.map((job) => ({ job: job.id })) };
    const isPair = [typed.one, typed.other].every((id) => ticked.includes(id));
    const pairs = isPair ? { pairs: [{ one: typed.one, other: typed.other }] } : {};
    try {
      const made = await post("/api/sets", { set: { ...set, ...pairs } });
      location.hash = addressOf("set", made.id);
    } catch (error) { setFailure(error); } finally { setBusy(false); }
  };
  const wrong = (field) => failure?.errors?.find((one) => one.field === field || (field === "id" && one.field === "set"));
  const isAtField = (one) => ["id", "name", "set", "pairs[1].one", "pairs[1].other"].includes(one.field);
  const said = failure && !(failure.errors?.length > 0 && failure.errors.every(isAtField)) ? failure : null;
  return html`<form class="make-set" onSubmit=${send}>
    <fieldset><legend>Which lines belong to the bow?</legend>
      ${jobs.map((job) => html`<label class="tick" key=${job.id}><input type="checkbox" checked=${ticked.includes(job.id)} onChange=${() => tick(job.id)}
        disabled=${ticked.length >= MOST && !ticked.includes(job.id)} /><span>${job.name} <span class="wait">${[job.bow, job.line, job.id].join(" · ")}</span></span></label>`)}</fieldset>
    <div class="fields">
      <${Field} label="What the set is called" id="set-name" wrong=${wrong("name")}><input id="set-name" value=${typed.name} placeholder=${suggested.name} autocomplete="off" onInput=${(e) => setTyped({ ...typed, name: e.currentTarget.value })} /><//>
      <${Field} label="Its id" id="set-id" wrong=${wrong("id")}><input id="set-id" value=${typed.id} placeholder=${suggested.id} autocomplete="off" onInput=${(e) => setTyped({ ...typed, id: e.currentTarget.value })} /><//></div>
    ${chosen.length > 1 ? html`<div class="fields">${["one", "other"].map((which) => html`
      <${Field} label=${which === "one" ? "A matched pair, if two are to be alike" : "and its fellow"} id=${`set-${which}`} wrong=${wrong(`pairs[1].${which}`)}>
        <select id=${`set-${which}`} value=${typed[which]} onChange=${(e) => setTyped({ ...typed, [which]: e.currentTarget.value })}>
          <option value="">none</option>${chosen.map((job) => html`<option value=${job.id} selected=${typed[which] === job.id}>${job.line}, ${job.id}</option>`)}</select><//>`)}</div>` : null}
    <${Failure} failure=${said} />
    <p class="acts"><button type="submit" class="act" disabled=${busy || chosen.length === 0}>Keep the set</button>
      <button type="button" class="plain" onClick=${onDone}>Never mind</button></p></form>`;
}
