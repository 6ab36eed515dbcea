/** A finished line on its bow: what to do, how it settled, what was written of it. */
import { useEffect, useMemo, useRef, useState } from "preact/hooks";
import { counted, fractions, html } from "../lib/dom.js";
import { addressOf } from "../lib/route.js";
import { useFetched } from "../models/fetched.js";
import { beginFit } from "../models/fit.js";
import { ServiceDraft } from "../models/service_draft.js";
import { announce, pictureTheme } from "../models/shell.js";
import { Failure, momentText, WhenFetched } from "./parts.js";
import { MatchedSpare } from "./spare.js";
import { EntryForm } from "./service_entry.js";
import { Wear } from "./service_wear.js";

/** @param {{id: string}} props */
export function Screen({ id }) {
  const width = Math.round(Math.min(Math.max(document.documentElement.clientWidth - 32, 300), 640));
  const path = `/api/builds/${encodeURIComponent(id)}/service?width=${width}`;
  const fetched = useFetched(path);
  const draft = useMemo(() => new ServiceDraft(id), [id]);
  const show = (answer) => { if (answer) { fetched.value.value = answer; announce(answer.headline); } };
  return html`<section class="page service-page"><${WhenFetched} fetched=${fetched} what="The line's record">${(line) => html`
    <header class="service-head" data-act=${line.act}><p class="wait">${[line.name, line.bow, line.line].filter(Boolean).join(" · ")}</p>
      <h1>${fractions(line.headline)}</h1>
      ${line.act === "do not draw" ? html`<p class="told service-stop" role="alert">${line.cautions[0]}</p>` : null}
      ${line.on_bow_since === null ? html`<${Walk} line=${line} />` : null}
      <div class="service-said">${line.sentences.map((text) => html`<p>${fractions(text)}</p>`)}</div>
    </header>
    <div class="service-work">
      <div class="service-now"><${Chart} line=${line} /><${Facts} line=${line} /></div>
      <${EntryForm} line=${line} draft=${draft} path=${path} onWritten=${show} /></div>
    <div class="service-cautions">${line.cautions.slice(line.act === "do not draw" ? 1 : 0)
      .filter((text) => !Object.values(line.step_cautions).some((said) => said.includes(text))).map((text) => html`<p class="caution">${text}</p>`)}</div>
    <${Entries} line=${line} draft=${draft} path=${path} onWritten=${show} />
    <${Wear} wear=${line.wear} />
    <div class="acts"><${MatchedSpare} build=${{ id: line.build, job: line.job, name: line.name }} /></div>
    <p class="acts"><a class="plain" href=${addressOf("done")}>All builds</a><a class="plain" href=${addressOf("line", line.job)}>The job of this line</a></p>`}<//></section>`;
}

/** A line that is on no bow yet is walked there, act by act. */
function Walk({ line }) {
  const [failure, setFailure] = useState(/** @type {any} */ (null));
  const fits = useFetched(`/api/fits/of/${encodeURIComponent(line.job)}`).value.value?.fits ?? [];
  const going = fits.find((fit) => !fit.ended && fit.lines.some((one) => one.build === line.build));
  const begin = async () => {
    setFailure(null);
    try {
      if (going) location.hash = addressOf("fit", going.id);
      else await beginFit({ lines: [{ job: line.job, build: line.build }], bow: line.bow_kind, crossbow: line.crossbow, before: line.bow_before });
    } catch (error) { setFailure(error); }
  };
  return html`<${Failure} failure=${failure} /><p class="acts"><button type="button" class="act" onClick=${begin}>${going ? "Go on with the walk onto the bow" : "Walk it onto the bow"}</button></p>`;
}

function Chart({ line }) {
  const drawn = useRef(/** @type {HTMLElement|null} */ (null));
  const svg = line.svg[pictureTheme.value] ?? "";
  useEffect(() => {
    if (!svg) return;
    const picture = new DOMParser().parseFromString(svg, "image/svg+xml").documentElement;
    drawn.current?.replaceChildren(document.importNode(picture, true));
    for (const mark of drawn.current?.querySelectorAll("[data-entry]") ?? []) {
      mark.addEventListener("click", () => document.getElementById(`entry-${mark.getAttribute("data-entry")}`)?.scrollIntoView({ block: "center" }));
    }
  }, [svg]);
  if (!svg) return null;
  return html`<figure class="service-chart"><div ref=${drawn}></div>
    <figcaption class="wait small">Dots with bars are readings with their 95 % range, hollow ones told by a figure of the bow;
      the band is what all of them say together. Hatched is outside the tolerance. Left of the dashed line is what was, right of it what is to come.</figcaption></figure>`;
}

function Facts({ line }) {
  if (line.on_bow_since === null) return null;
  const rows = [
    ["on its bow for", line.wear.age_text || "less than a day"], ["shots", String(line.shots)], ["asked for", line.asked_text],
    ["turns now", line.turns_text], ["wax", line.wear.waxed_text], ["looked over", line.wear.looked_text],
  ];
  return html`<dl class="service-facts">${rows.map(([name, text]) => html`<div><dt>${name}</dt><dd>${fractions(text)}</dd></div>`)}</dl>`;
}

function Entries({ line, draft, path, onWritten }) {
  if (line.entries.length === 0) return null;
  const readings = new Map(line.readings.map((one) => [one.entry, one]));
  const back = async (entry) => onWritten(await draft.takeBack(path, entry));
  return html`<section class="service-entries"><h2>What is written of it</h2>
    <p class="unseen">${counted(line.entries.length, "entry", "entries")}</p>
    <ol>${line.entries.map((entry) => {
      const read = readings.get(entry.id);
      return html`<li key=${entry.id} id=${`entry-${entry.id}`} data-back=${entry.taken_back ? "yes" : null}>
        <span>${momentText(entry.at)}</span><span>${counted(entry.shots, "shot")}</span>
        <span><b>${fractions(entry.text)}</b>${entry.by ? html` <span class="wait">${entry.by}</span>` : null}
          ${read && read.weight < 0.3 ? html` <span class="wait">counts for little: it fits nothing else</span>` : null}</span>
        ${entry.taken_back ? html`<span class="wait">taken back</span>`
          : html`<button type="button" class="plain small" disabled=${draft.busy.value} onClick=${() => void back(entry)}>Take back</button>`}</li>`;
    })}</ol></section>`;
}
