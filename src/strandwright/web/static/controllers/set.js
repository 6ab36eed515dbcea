/** A set: the lines of one bow below each other, what they take, their order, their agreement. */
import { useEffect, useRef, useState } from "preact/hooks";
import { bound, counted, fractions, html } from "../lib/dom.js";
import { post } from "../lib/api.js";
import { addressOf } from "../lib/route.js";
import { useFetched } from "../models/fetched.js";
import { announce, nameScreen, pictureTheme } from "../models/shell.js";
import { Failure, WhenFetched } from "./parts.js";
import { Edit, useSetDraft } from "./set_edit.js";
import { Agreement, Cautions, CutList, Orders, sentence, Time } from "./set_lists.js";

/** Room for a page, and what it leaves free at each side, as its style sheet has it [px]. */
const WIDEST = 1440;
const sideOf = (whole) => Math.min(Math.max(0.04 * whole, 16), 48);

/** @param {{id: string}} props */
export function Screen({ id }) {
  const width = useRoom();
  const path = `/api/sets/${encodeURIComponent(id)}?width=${width}&theme=${pictureTheme.value}`;
  const fetched = useFetched(path);
  const [failure, setFailure] = useState(/** @type {any} */ (null));
  const draft = useSetDraft(id);
  // What was typed before a reload stands open again.
  const [changing, setChanging] = useState(draft.isDirty);
  const away = async (set) => {
    setFailure(null);
    try {
      await post(`/api/sets/${encodeURIComponent(id)}/away`, { revision: set.revision, put_away: !set.put_away });
      announce(set.put_away ? `${set.name} is at hand again` : `${set.name} is put away`);
    } catch (error) { setFailure(error); }
  };
  return html`<section class="page set-page"><${WhenFetched} fetched=${fetched} what="The set">${(set) => html`
    <${Head} set=${set} away=${away} changing=${changing} change=${() => setChanging(!changing)} />
    <${Failure} failure=${failure} onSeen=${() => setFailure(null)} />
    ${changing ? html`<${Edit} set=${set} draft=${draft} onDone=${() => setChanging(false)} />` : null}
    ${set.unplanned.map((one) => html`<p class="told" role="alert" key=${one.job}><span><a href=${addressOf("line", one.job)}>${one.job}</a> is left out: ${fractions(one.said)}</span></p>`)}
    <${Lines} set=${set} />
    <div class="set-lists"><div><${CutList} cut=${set.cut} /><${Orders} orders=${set.orders} fits=${set.fits} byHand=${set.by_hand} /></div>
      <div><${Agreement} set=${set} /><${Time} schedule=${set.schedule} lines=${set.lines} /></div></div>
    <${Cautions} set=${set} />`}<//></section>`;
}

/** Room for the longest strip, drawn anew when a window that was resized rests. */
function useRoom() {
  const room = () => {
    const whole = document.documentElement.clientWidth;
    return Math.floor(Math.max(Math.min(whole, WIDEST) - 2 * sideOf(whole), 320));
  };
  const [width, setWidth] = useState(room);
  useEffect(() => {
    let timer = 0;
    const later = () => { clearTimeout(timer); timer = setTimeout(() => setWidth(room()), 150); };
    addEventListener("resize", later);
    return () => { clearTimeout(timer); removeEventListener("resize", later); };
  }, []);
  return width;
}

function Head({ set, away, changing, change }) {
  nameScreen(set.name);
  const path = `/api/sets/${encodeURIComponent(set.id)}`;
  return html`<header class="page-head"><div class="set-title"><p class="wait">${[set.bow, set.id].filter(Boolean).join(" · ")}</p>
      <h1>${set.name}</h1><p class="set-stand">${standOf(set)}</p>${set.chance ? html`<p class="lead">${bound(sentence(set.chance.said))}</p>` : null}
      ${set.chance?.shared_said ? html`<p class="small wait">${bound(sentence(set.chance.shared_said))}</p>` : null}</div>
    <div class="acts"><a class="act" href=${`${path}/sheet.pdf`} target="_blank">Print the sheets</a>
      <a class="plain" href=${`${path}/set.toml`} download=${`${set.id}.toml`}>Set file</a>
      ${set.lines.length > 0 ? html`<a class="plain" href=${addressOf("new", set.lines[0].job)}>Another line for this bow</a>` : null}
      <button type="button" class="plain" aria-expanded=${changing ? "true" : "false"} onClick=${change}>Change lines and pairs</button>
      <button type="button" class="plain" onClick=${() => void away(set)}>${set.put_away ? "Bring back" : "Put away"}</button></div></header>`;
}

/** How far the set is. @param {any} set */
function standOf(set) {
  const all = set.lines.length + set.unplanned.length;
  const count = (state) => set.lines.filter((line) => line.state === state).length;
  const done = count("logged"), going = count("building");
  return [`${done} of ${counted(all, "line")} built`, going > 0 ? `${going} on the jig` : "", all - done - going > 0 ? `${all - done - going} to start` : ""].filter(Boolean).join(" · ");
}

/** Every line on its strip, all to one scale, with what is to be done with it. */
function Lines({ set }) {
  // One act is the next: what is on the jig, else the line that is wound first.
  const order = set.orders.flatMap((one) => one.lines.map((line) => line.job));
  const rank = (line) => order.indexOf(line.job);
  const open = set.lines.filter((line) => line.state !== "logged").sort((a, b) => rank(a) - rank(b));
  const widest = Math.max(...set.lines.map((line) => line.strip.width + line.strip.indent));
  const next = open.find((line) => line.state === "building") ?? open[0];
  // Two cables that are both called cable are told apart by the names of their jobs.
  const titleOf = (line) => (set.lines.some((other) => other !== line && other.line === line.line) ? line.name : line.line);
  return html`<section class="set-lines" aria-label="The lines, drawn to one scale">
    <ul>${set.lines.map((line) => html`<li key=${line.job} data-state=${line.state}>
      <div class="set-line"><div><h2><a href=${addressOf("line", line.job)}>${titleOf(line)}</a></h2>
        <p class="wait">${bound([line.length_text, `${line.strands} strands`, line.built_text || `${line.turns_text} turns · posts at ${line.posts_text}`, line.job].join(" · "))}</p></div>
        <${Act} line=${line} klass=${line === next ? "act next" : "act"} /></div>
      <div class="set-strip" tabindex="0" role="group" aria-label=${`${line.line} on its strip`}><${Drawn} strip=${line.strip} widest=${widest} /></div>
      ${line.warnings.map((text) => html`<p class="small wait">${bound(text)}</p>`)}</li>`)}</ul></section>`;
}

function Act({ line, klass }) {
  if (line.state === "building") {
    const at = line.next ? `step ${line.next.number} of ${line.next.of}: ${line.next.title}` : "all steps are done: lock it";
    return html`<div class="set-going"><a class=${klass} href=${addressOf("jig", line.build)}>Go on at the jig</a><span class="small wait">${fractions(at)}</span></div>`;
  }
  if (line.state === "logged") return html`<p class="set-done" data-proved=${line.verdict === "proved" ? "yes" : "no"}><b>${line.verdict === "proved" ? "built and proved" : "built, not proved"}</b> <a class="plain small" href=${addressOf("service", line.build)}>On its bow</a></p>`;
  return html`<a class=${klass} href=${addressOf("line", line.job)}>Look it over and start</a>`;
}

function Drawn({ strip, widest }) {
  const { svg, indent, width } = strip;
  const drawn = useRef(/** @type {HTMLElement|null} */ (null));
  useEffect(() => {
    const picture = new DOMParser().parseFromString(svg, "image/svg+xml").documentElement;
    drawn.current?.replaceChildren(document.importNode(picture, true));
  }, [svg]);
  const share = (size) => `${(100 * size) / widest}%`;
  return html`<div ref=${drawn} style=${{ "--indent": `${indent}px`, "--indent-share": share(indent), "--share": share(width) }}></div>`;
}
