/** Look it over: large ticks, one for each thing to look at; what is found gets its place and a picture. */
import { useState } from "preact/hooks";
import { counted, fractions, html } from "../lib/dom.js";
import { lookBody } from "../models/order_draft.js";
import { handOver } from "../models/photos.js";
import { Part, Photos } from "./order_parts.js";
import { Field } from "./parts.js";
import { Wrongs } from "./order_who.js";

const DECISIONS = [["refuse", "refuse the work"], ["ask", "ask the owner"], ["note", "note it and go on"], ["mended", "it is mended"]];

export function LookOver({ page, draft, write, trying, next }) {
  const [again, setAgain] = useState(false);
  const typed = draft.typed.value.look;
  const rows = page.look;
  const ticked = Object.keys(typed).length;
  const left = rows.filter((row) => row.open && !typed[row.name]);
  const save = async () => {
    const photos = Object.values(typed).flatMap((one) => one.photos ?? []);
    // Pictures go first: an event that names one that is not kept is refused.
    if (photos.length > 0 && await trying(async () => { await handOver(photos); return true; }) !== true) return;
    const answer = await write("look", "bow-looked-at", lookBody(typed), (now) => ({ look: Object.fromEntries(Object.entries(now.look).filter(([name, one]) => one !== typed[name])) }));
    if (answer) setAgain(false);
  };
  if (ticked === 0 && !again && rows.every((row) => !row.open)) {
    // Looked over, it is short: what was found, and how much was not.
    return html`<${Part} id="look" title="Looked over" said=${`${counted(rows.filter((row) => row.sound).length, "thing")} looked at and sound.`}>
      <ul class="stops">${rows.filter((row) => row.found.length > 0).map((row) => html`<${Row} key=${row.name} row=${row} draft=${draft} />`)}</ul>
      <p><button type="button" class="plain" onClick=${() => setAgain(true)}>Look it over again</button></p><//>`;
  }
  return html`<${Part} id="look" title="Look it over" said="Each one: tick it when it is sound, or say what you found. A tick that is not there is no sound limb.">
    <p class="caution">${page.cautions.look}</p>
    <ul class="stops">${rows.map((row) => html`<${Row} key=${row.name} row=${row} look=${typed[row.name]} draft=${draft} />`)}</ul>
    <${Wrongs} draft=${draft} part="look" />
    <div class="acts"><button type="button" class=${next === "look" ? "act next" : "act"} disabled=${ticked === 0 || draft.busy.value !== ""} onClick=${save}>${
      draft.busy.value === "look" ? "Writing…" : "Write the look down"}</button>
      <span class="wait" role="status">${left.length > 0 ? `${left.length} still to look at` : ticked > 0 ? "all looked at; write it down" : "all looked at"}</span></div>
  <//>`;
}

function Row({ row, look, draft }) {
  const state = look?.state ?? (row.sound ? "sound" : row.found.length > 0 ? "found" : "");
  const id = `stop-${row.name.replaceAll(" ", "-")}`;
  const choose = (/** @type {"sound"|"found"} */ chosen) => {
    if (look?.state === chosen) draft.look(row.name, null);
    else draft.look(row.name, chosen === "sound" ? { state: "sound" } : { state: "found", decision: row.verdict, where: row.found[0]?.where ?? "", photos: row.found[0]?.photos ?? [] });
  };
  return html`<li class="stop" data-state=${state} data-undrawn=${row.undrawn ? "yes" : null} data-told=${look ? "yes" : null}>
    <div class="stop-what"><h3 id=${id}>${row.name}</h3><p>${row.look}</p>
      <details><summary>why, and who says so</summary><p class="wait small">${row.why} <i>${row.source}.</i></p></details></div>
    <div class="stop-ticks" role="group" aria-labelledby=${id}>
      <button type="button" aria-pressed=${state === "sound" ? "true" : "false"} aria-label=${`${row.name}: sound`} onClick=${() => choose("sound")}><span aria-hidden="true">✓</span>sound</button>
      <button type="button" aria-pressed=${state === "found" ? "true" : "false"} aria-label=${`${row.name}: found`} onClick=${() => choose("found")}><span aria-hidden="true">!</span>found</button></div>
    ${look?.state === "found" ? html`<${Found} row=${row} look=${look} draft=${draft} id=${id} />` : null}
    ${!look && row.found.length > 0 ? html`<ul class="stop-found">${row.found.map((one) => html`<li><b>${one.where ? `${row.name}, ${fractions(one.where)}` : row.name}</b>: ${
      DECISIONS.find(([name]) => name === (one.decision ?? "ask"))?.[1]}<${Photos} names=${one.photos ?? []} kept=${one.photos ?? []} label="" /></li>`)}</ul>` : null}
  </li>`;
}

function Found({ row, look, draft, id }) {
  const say = (told) => draft.look(row.name, { ...look, ...told });
  return html`<div class="stop-say">
    <div class="fields"><${Field} label="where on the bow" id=${`${id}-where`}><input id=${`${id}-where`} value=${look.where ?? ""} placeholder="such as upper wheel" autocomplete="off" onInput=${(e) => say({ where: e.currentTarget.value })} /><//>
      <${Field} label="what follows" id=${`${id}-decision`} hint=${row.undrawn && look.decision !== "mended" ? "The bow is not drawn as it stands." : ""}><select id=${`${id}-decision`} onChange=${(e) => say({ decision: e.currentTarget.value })}>
        ${DECISIONS.map(([name, text]) => html`<option value=${name} selected=${look.decision === name}>${text}</option>`)}</select><//></div>
    <${Photos} names=${look.photos ?? []} kept=${row.found.flatMap((one) => one.photos ?? [])} label="Take a picture of it" onTaken=${(name) => say({ photos: [...(draft.typed.value.look[row.name]?.photos ?? []), name] })}
      onDropped=${(name) => say({ photos: (look.photos ?? []).filter((one) => one !== name) })} /></div>`;
}
