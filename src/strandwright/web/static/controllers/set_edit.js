/** Changing a set on its screen: lines put in and taken out, pairs made and undone, its name. */
import { useMemo } from "preact/hooks";
import { fractions, html } from "../lib/dom.js";
import { useFetched } from "../models/fetched.js";
import { MOST, SetDraft } from "../models/set_draft.js";
import { announce } from "../models/shell.js";
import { Failure, Field } from "./parts.js";

/** The draft of a set, for as long as its screen stands. @param {string} id */
export const useSetDraft = (id) => useMemo(() => new SetDraft(id), [id]);

/** @param {{set: any, draft: SetDraft, onDone: () => void}} props */
export function Edit({ set, draft, onDone }) {
  const fetched = useFetched("/api/jobs");
  const jobs = fetched.value.value?.jobs ?? [];
  const table = set.set;
  const nameOf = (id) => { const job = jobs.find((one) => one.id === id); return job ? `${job.line}, ${id}` : id; };
  const save = async (event) => {
    event.preventDefault();
    const kept = await draft.save(table, set.revision);
    announce(kept ? "The set is kept" : `Not kept. ${draft.failure.value?.message ?? ""}`);
    if (kept) onDone();
  };
  const never = () => { draft.giveUp(); onDone(); };
  const failure = draft.failure.value;
  const elsewhere = draft.elsewhere(table);
  const overtaken = failure?.status === 409;
  const said = failure && (overtaken || elsewhere.length > 0 || (failure.errors ?? []).length === 0)
    ? { message: overtaken ? "The set was changed elsewhere meanwhile. What you did not touch now shows the newest; keep it again to lay yours over it." : failure.message, errors: overtaken ? [] : elsewhere } : null;
  return html`<form class="make-set" onSubmit=${save} novalidate aria-label="Change the set">
    <${Lines} set=${set} draft=${draft} jobs=${jobs} nameOf=${nameOf} />
    <${Pairs} table=${table} draft=${draft} nameOf=${nameOf} />
    <${Texts} table=${table} draft=${draft} />
    <${Failure} failure=${said} />
    <p class="acts"><button type="submit" class="act" disabled=${draft.busy.value || !draft.isDirty}>${draft.busy.value ? "Keeping…" : "Keep the changes"}</button>
      <button type="button" class="plain" onClick=${never}>Leave it as it was</button></p></form>`;
}

/** @param {{wrong: any}} props */
const Wrong = ({ wrong }) => (wrong ? html`<span class="wrong" role="alert">${fractions(wrong.rule)}; <b>${fractions(wrong.remedy)}</b></span>` : null);

function Lines({ set, draft, jobs, nameOf }) {
  const table = set.set;
  const lines = draft.lines(table);
  const rest = jobs.filter((job) => !lines.includes(job.id) && !job.put_away);
  const bows = new Set(jobs.filter((job) => lines.includes(job.id)).map((job) => job.bow));
  const groups = [["of this bow", rest.filter((job) => bows.has(job.bow))], ["of other bows", rest.filter((job) => !bows.has(job.bow))]];
  const adding = draft.changed.value.adding ?? "";
  const isFull = lines.length >= MOST;
  return html`<fieldset><legend>Lines of the set</legend>
    <ul class="set-rows">${lines.map((job) => html`<li key=${job}><span>${nameOf(job)}</span>
      <button type="button" class="plain small" aria-label=${`Take out ${job}`} onClick=${() => draft.takeOut(table, job)}>Take out</button><${Wrong} wrong=${draft.wrongLine(job)} /></li>`)}</ul>
    <${Wrong} wrong=${draft.wrongAt("lines")} />
    ${isFull ? html`<p class="small wait">A set holds ${MOST} lines at most.</p>` : rest.length === 0 ? html`<p class="small wait">No other job is at hand.</p>` : html`<div class="set-add">
      <${Field} label="Put in another line" id="set-add"><select id="set-add" value=${adding} onChange=${(e) => draft.change({ adding: e.currentTarget.value })}>
        <option value="" selected=${adding === ""}>choose its job</option>${groups.map(([of, some]) => (some.length > 0 ? html`<optgroup label=${of}>${some.map((job) => html`<option value=${job.id} selected=${adding === job.id}>${`${job.name}, ${job.id}`}</option>`)}</optgroup>` : null))}</select><//>
      <button type="button" class="act" disabled=${adding === ""} onClick=${() => { draft.add(table, adding); announce(`${adding} is put in`); }}>Put it in</button></div>`}</fieldset>`;
}

function Pairs({ table, draft, nameOf }) {
  const pairs = draft.pairs(table);
  const lines = draft.lines(table);
  return html`<fieldset><legend>Matched pairs</legend>
    <p class="small wait">Two lines that are to be alike in length, turns and strands, such as the cables of a two-cam bow.</p>
    ${pairs.map((pair, at) => html`<div class="set-pair" key=${at}>
      <${PairField} label="One of the pair" which="one" pair=${pair} at=${at} table=${table} draft=${draft} lines=${lines} nameOf=${nameOf} />
      <${PairField} label="Its fellow" which="other" pair=${pair} at=${at} table=${table} draft=${draft} lines=${lines} nameOf=${nameOf} />
      <button type="button" class="plain small" onClick=${() => draft.undoPair(table, at)}>Undo the pair</button></div>`)}
    ${lines.length < 2 ? null : html`<p><button type="button" class="plain" onClick=${() => draft.addPair(table)}>Make a pair</button></p>`}</fieldset>`;
}

function PairField({ label, which, pair, at, table, draft, lines, nameOf }) {
  const id = `set-pair-${at}-${which}`;
  const wrong = draft.wrongPair(table, at, which);
  const gone = pair[which] !== "" && !lines.includes(pair[which]);
  return html`<${Field} label=${label} id=${id} wrong=${wrong}><select id=${id} value=${pair[which]} aria-invalid=${wrong ? "true" : null} aria-describedby=${wrong ? `${id}-wrong` : null}
      onChange=${(e) => draft.choosePair(table, at, which, e.currentTarget.value)}>
    <option value="" selected=${pair[which] === ""}>choose</option>${gone ? html`<option value=${pair[which]} selected>${`${pair[which]}, not in the set`}</option>` : null}
    ${lines.map((job) => html`<option value=${job} selected=${pair[which] === job}>${nameOf(job)}</option>`)}</select><//>`;
}

const HANDS = [["one", "one hand in every line"], ["as each job says", "as each job says"]];

function Texts({ table, draft }) {
  const name = draft.wrongAt("name"), spool = draft.wrongAt("spool");
  return html`<div class="fields">
    <${Field} label="What the set is called" id="set-called" wrong=${name}><input id="set-called" value=${draft.shown(table, "name")} autocomplete="off" aria-invalid=${name ? "true" : null} onInput=${(e) => draft.change({ name: e.currentTarget.value })} /><//>
    <${Field} label="Hand of twist and serving" id="set-hands"><select id="set-hands" onChange=${(e) => draft.change({ hands: e.currentTarget.value })}>
      ${HANDS.map(([value, text]) => html`<option value=${value} selected=${draft.shown(table, "hands") === value}>${text}</option>`)}</select><//>
    <${Field} label="Strand on a full spool" id="set-spool" wrong=${spool} hint="with its unit; left empty, the usual one"><input id="set-spool" value=${draft.shown(table, "spool")} placeholder="4 oz" autocomplete="off" aria-invalid=${spool ? "true" : null} onInput=${(e) => draft.change({ spool: e.currentTarget.value })} /><//></div>`;
}
