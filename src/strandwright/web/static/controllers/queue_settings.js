/** What people set about the queue: due days, hands, hours, days off, which benches stand in for each other. */
import { useState } from "preact/hooks";
import { ApiError, put } from "../lib/api.js";
import { html } from "../lib/dom.js";
import { Failure, Field } from "./parts.js";

const DAYS = [["mon", "Monday"], ["tue", "Tuesday"], ["wed", "Wednesday"], ["thu", "Thursday"], ["fri", "Friday"], ["sat", "Saturday"], ["sun", "Sunday"]];

/** @param {string} text */
const list = (text) => text.split(/[,;]/).map((one) => one.trim()).filter(Boolean);
/** Hours of a day as `08:30-12:00, 13:00-17:00`. */
const hoursText = (hours, day) => hours.filter((one) => one.day === day).map((one) => `${one.opens}-${one.closes}`).join(", ");

/** @param {{queue: any, fetched: any}} props */
export function Settings({ queue, fetched }) {
  const kept = queue.settings;
  const [draft, setDraft] = useState(() => ({
    due: Object.fromEntries(queue.jobs.map((job) => [job.job, { day: job.due ?? "", weight: job.weight }])),
    hands: (kept.hands ?? []).join(", "), closed: (kept.closed ?? []).join(", "),
    hours: Object.fromEntries(DAYS.map(([day]) => [day, hoursText(kept.hours ?? [], day)])),
    kinds: Object.fromEntries(queue.benches.map((bench) => [bench.name, bench.kind])),
  }));
  const [failure, setFailure] = useState(/** @type {any} */ (null));
  const [busy, setBusy] = useState(false);
  const change = (part) => setDraft({ ...draft, ...part });
  const save = async (e) => {
    e.preventDefault();
    setBusy(true);
    setFailure(null);
    try { fetched.value.value = await put("/api/queue", { revision: queue.revision, queue: tableOf(queue, draft) }); } catch (error) {
      setFailure(error instanceof ApiError ? error : new ApiError(String(error)));
    }
    setBusy(false);
  };
  return html`<details class="queue-settings no-print"><summary>Due days, hands, hours and benches</summary><form onSubmit=${save}>
    <fieldset><legend>Due</legend><div class="queue-dues">${queue.jobs.map((job) => html`<${Due} key=${job.job} job=${job} due=${draft.due[job.job] ?? { day: "", weight: 1 }} change=${(due) => change({ due: { ...draft.due, [job.job]: due } })} />`)}</div></fieldset>
    <fieldset><legend>Open</legend><div class="queue-week">${DAYS.map(([day, name]) => html`<${Field} key=${day} label=${name} id=${`queue-${day}`}><input id=${`queue-${day}`} value=${draft.hours[day]} placeholder="closed" autocomplete="off" onInput=${(e) => change({ hours: { ...draft.hours, [day]: e.currentTarget.value } })} /><//>`)}</div>
      <p class="hint">As 08:30-12:00, 13:00-17:00. All left empty, they are those of the shop's terms, or Monday to Friday nine to five.</p>
      <${Field} label="Closed on" id="queue-closed" hint="days as 2026-12-24, 2026-12-25"><input id="queue-closed" value=${draft.closed} autocomplete="off" onInput=${(e) => change({ closed: e.currentTarget.value })} /><//></fieldset>
    <fieldset><legend>Hands and benches</legend>
      <${Field} label="Who works here" id="queue-hands" hint="names, one for each pair of hands; left empty, one pair"><input id="queue-hands" value=${draft.hands} autocomplete="off" onInput=${(e) => change({ hands: e.currentTarget.value })} /><//>
      <div class="queue-week">${queue.benches.map((bench) => html`<${Field} key=${bench.name} label=${`Kind of ${bench.name}`} id=${`queue-kind-${bench.name}`}><input id=${`queue-kind-${bench.name}`} value=${draft.kinds[bench.name] ?? ""} autocomplete="off" onInput=${(e) => change({ kinds: { ...draft.kinds, [bench.name]: e.currentTarget.value } })} /><//>`)}</div>
      <p class="hint">Benches of one kind stand in for each other. A line moved to another bench is planned anew for it before it is wound.</p></fieldset>
    <${Failure} failure=${failure} />
    <p><button type="submit" class="act" disabled=${busy}>${busy ? "Laying it out anew…" : "Keep this and lay it out anew"}</button></p></form></details>`;
}

function Due({ job, due, change }) {
  const id = `queue-due-${job.job}`;
  return html`<div class="queue-due"><label for=${id}>${job.job} <span class="wait">${job.name}</span></label>
    <input id=${id} type="date" value=${due.day} onInput=${(e) => change({ ...due, day: e.currentTarget.value })} />
    <label class="queue-weight"><span class="wait">weight</span> <input type="number" min="1" max="9" value=${due.weight} onInput=${(e) => change({ ...due, weight: Number(e.currentTarget.value) })} /></label></div>`;
}

/** The tables that are sent: what was not touched stays as it is kept. */
function tableOf(queue, draft) {
  const kept = queue.settings;
  const here = new Set(queue.jobs.map((job) => job.job));
  const due = queue.jobs.map((job) => {
    const was = (kept.due ?? []).find((one) => one.job === job.job) ?? { job: job.job };
    const { day = "", weight = 1 } = draft.due[job.job] ?? {};
    const changed = day !== (job.due ?? "") || weight !== job.weight;
    return changed ? { ...was, weight, ...(day ? { day } : { day: null }) } : was;
  }).filter((one) => Object.keys(one).length > 1);
  const hours = DAYS.flatMap(([day]) => list(draft.hours[day]).map((text) => {
    const [opens = "", closes = ""] = text.split(/[-–]/).map((part) => part.trim());
    return { day, opens, closes };
  }));
  const benches = queue.benches.map((bench) => ({ name: bench.name, kind: draft.kinds[bench.name] ?? "" }));
  return { ...kept, due: [...(kept.due ?? []).filter((one) => !here.has(one.job)), ...due], hours, closed: list(draft.closed), hands: list(draft.hands), benches };
}
