/** What a paired phone shows: which lines are on the jig, and a count for each. */
import { useEffect, useMemo, useState } from "preact/hooks";
import { fractions, html } from "../lib/dom.js";
import { addressOf } from "../lib/route.js";
import { stayAwake } from "../models/awake.js";
import { outbox } from "../models/bench_outbox.js";
import { useFetched } from "../models/fetched.js";
import { comingUp, counted, project } from "../models/jig.js";
import { handOver, takeIn } from "../models/photos.js";
import { useTold } from "../models/told.js";
import { Doubt, useCounter } from "./jig/counter.js";
import { WhenFetched } from "./parts.js";

/** @param {{id: string}} props the build; empty for the list */
export function Screen({ id }) {
  return id === "" ? html`<${Lines} />` : html`<${Count} id=${id} />`;
}

function Lines() {
  const fetched = useFetched("/api/builds?state=building&limit=50");
  const told = useTold("/api/builds/-/outcomes", "build", "builds", fetched.value.value);
  return html`<section class="page phone"><header class="page-head"><h1>On the jig</h1></header>
    <${WhenFetched} fetched=${fetched} what="The builds">${({ builds }) => {
      const here = builds.map((build) => ({ ...build, ...told.rows.value[build.id] }));
      if (here.length === 0) return html`<p class="lead">No line is on the jig. Begin one at the bench; it stands here at once.</p>`;
      return html`<ul class="phone-lines">${here.map((build) => html`<li key=${build.id} ref=${told.watch} data-row=${build.id}>
        <a class="act" href=${addressOf("phone", build.id)}><b>${build.name}</b><span class="wait">${fractions([build.next?.title, build.next?.headline].filter(Boolean).join(" · "))}</span></a></li>`)}</ul>`;
    }}<//><${Camera} /></section>`;
}

/** Take pictures; at the bench they stand where an order asks for them. */
function Camera() {
  const [busy, setBusy] = useState(0);
  const [said, setSaid] = useState({ text: "", wrong: false });
  const take = async (/** @type {any} */ event) => {
    const files = [...event.currentTarget.files];
    event.currentTarget.value = "";
    setBusy(files.length);
    try {
      for (const file of files) await handOver([await takeIn(file)]);
      setSaid({ text: files.length === 1 ? "The picture is at the bench." : `${files.length} pictures are at the bench.`, wrong: false });
    } catch (error) { setSaid({ text: error.message, wrong: true }); }
    setBusy(0);
  };
  return html`<div class="phone-camera"><h2>Pictures</h2>
    <p class="wait">They are offered at the bench wherever an order asks for a picture.</p>
    <p><label class="act file">${busy > 0 ? "Sending…" : "Send a picture"}<input type="file" accept="image/*" capture="environment" aria-label="Send a picture" disabled=${busy > 0} onChange=${take} /></label></p>
    ${said.text ? html`<p class=${said.wrong ? "wrong" : "wait"} role="status">${said.text}</p>` : null}</div>`;
}

function Count({ id }) {
  useEffect(() => { outbox.follow(id); return stayAwake(); }, [id]);
  const advice = outbox.advice.value;
  const pending = outbox.pending.value;
  const done = outbox.done.value;
  const view = useMemo(() => {
    const waiting = pending.filter((item) => item.build === id).map((item) => item.event);
    return advice && project(advice, waiting, done.map((one) => one.event));
  }, [advice, pending, done, id]);
  if (!view) return html`<p class="loading">${outbox.missing.value || "Fetching the build…"}</p>`;
  const step = view.act && view.steps.find((one) => one.id === view.act.step);
  const run = step?.key === "wind" ? view.winding.runs.findIndex((one) => one.run === step.run) : -1;
  if (run < 0) {
    return html`<section class="page phone"><h1>${advice.name}</h1>
      <p class="lead">${view.over ? "This build is over." : `Nothing is counted now. At the bench: ${fractions(view.act?.title ?? "see the jig")}.`}</p>
      <p><a class="act" href=${addressOf("phone")}>Other lines</a></p></section>`;
  }
  return html`<${Counter} key=${step.id} id=${id} name=${advice.name} view=${view} index=${run} />`;
}

/** What stands now, for presses that wait their turn. */
const standing = (id) => project(outbox.advice.peek(), outbox.pending.peek().filter((one) => one.build === id).map((one) => one.event), outbox.done.peek().map((one) => one.event));

function Counter({ id, name, view, index }) {
  const run = view.winding.runs[index];
  const lay = async (halves, anyway) => {
    const now = standing(id).winding.runs[index];
    const laid = now.counts === "strands" ? 1 : halves;
    if (!anyway && now.laid + laid > now.halves) return false;
    await outbox.act(["rounds-laid", { run: now.run, halves: laid }]);
    return true;
  };
  const undo = async () => {
    const last = standing(id).lastLaid;
    if (last) await outbox.act(["withdrawn", { event: last }]);
  };
  const { press, question, answer } = useCounter({ of: `${id}/${run.run}`, lay, undo, more: "That is one more than planned: count it?" });
  return html`<section class="phone-count" aria-label="Count">
    <header><a class="plain" href=${addressOf("phone")}>Lines</a><p>${name} · ${run.name}</p></header>
    <p class="phone-number" role="status"><b>${counted(run, run.laid)}</b><span>of ${counted(run, run.halves)} ${run.counts === "strands" ? "strands" : "rounds"}</span></p>
    <p class="phone-soon" role="status">${comingUp(view.winding.runs, index)}</p>
    <${Doubt} question=${question} answer=${answer} />
    <div class="phone-acts"><button type="button" class="act next" data-pedal onClick=${() => press("round")}>${run.counts === "strands" ? "One strand" : "One round"}</button>
      <button type="button" class="act" disabled=${!view.lastLaid} onClick=${() => press("undo")}>Take the last back</button></div></section>`;
}
