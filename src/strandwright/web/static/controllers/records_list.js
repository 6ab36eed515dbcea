/** A list brought in: chosen, looked at row by row, and only then kept. */
import { useEffect, useState } from "preact/hooks";
import { post } from "../lib/api.js";
import { counted, fractions, html } from "../lib/dom.js";
import { announce } from "../models/shell.js";
import { useTrying } from "./people.js";
import { Failure } from "./parts.js";

const KINDS = [["customers", "customers"], ["bows", "bows"], ["spools", "spools"], ["parts", "small parts"]];
/** Longer files go by the command. */
const LONGEST = 900_000;

/** @param {{onReady: (ready: boolean) => void}} props */
export function BringIn({ onReady }) {
  const [kind, setKind] = useState("customers");
  const [file, setFile] = useState(/** @type {{name: string, text: string}|null} */ (null));
  const [renamed, setRenamed] = useState(/** @type {Record<string, string>} */ ({}));
  const [report, setReport] = useState(/** @type {any} */ (null));
  const { failure, setFailure, busy, trying } = useTrying();
  useEffect(() => onReady(report !== null && report.kept === 0 && keepable(report) > 0), [report]);
  const look = (/** @type {any} */ given, of, names) => trying(async () => {
    setReport(null);
    if (given !== null) setReport(await post("/api/records/lists", { kind: of, text: given.text, renamed: names }));
  });
  const choose = async (/** @type {File|undefined} */ chosen) => {
    setFile(null); setReport(null); setRenamed({});
    if (!chosen) return;
    try {
      const read = await readText(chosen);
      setFile(read);
      await look(read, kind, {});
    } catch (error) { setFailure(error); }
  };
  const keep = () => trying(async () => {
    const kept = await post("/api/records/lists/kept", { kind, text: file?.text, renamed, seal: report.seal });
    setReport(kept);
    announce(`${counted(kept.kept, "record")} kept.`);
  });
  return html`<section class="bring-in" aria-label="Bring a list in"><h2>Bring a list in</h2>
    <p>A CSV file of customers, bows, spools or small parts. It is looked at first: what is new, what changes and what cannot be, row by row. Nothing is kept until you say so, and nothing is written over.</p>
    <div class="further records-row"><div class="field"><label for="list-kind">Its rows are</label>
      <select id="list-kind" value=${kind} onChange=${(e) => { setKind(e.currentTarget.value); setRenamed({}); void look(file, e.currentTarget.value, {}); }}>${KINDS.map(([value, text]) => html`<option value=${value}>${text}</option>`)}</select></div>
      <div class="field"><label for="list-file">File</label><input id="list-file" type="file" accept=".csv,.tsv,.txt,text/csv"
        onClick=${(e) => { e.currentTarget.value = ""; /* the same file, mended, is a choice too */ }} onChange=${(e) => choose(e.currentTarget.files?.[0])} /></div></div>
    <${Failure} failure=${failure} onSeen=${() => setFailure(null)} />
    ${busy && report === null ? html`<p class="loading">Looking at it…</p>` : null}
    ${report === null ? null : html`<${Told} report=${report} renamed=${renamed} busy=${busy} keep=${keep}
      rename=${(names) => { setRenamed(names); void look(file, kind, names); }} />`}</section>`;
}

/** Rows that would be kept. @param {any} report */
const keepable = (report) => (report.counts.refused > 0 ? 0 : report.counts.new + report.counts.changes);

/** @param {File} file */
async function readText(file) {
  if (file.size > LONGEST) throw new Error(`${file.name} is longer than this page takes; bring it in with the command strandwright csv-import.`);
  try {
    return { name: file.name, text: new TextDecoder("utf-8", { fatal: true, ignoreBOM: true }).decode(await file.arrayBuffer()) };
  } catch {
    throw new Error(`${file.name} is not UTF-8 text. Save it again as CSV in UTF-8.`);
  }
}

function Told({ report, renamed, rename, busy, keep }) {
  const count = keepable(report);
  const loud = report.rows.filter((row) => row.outcome === "refused" || row.outcome === "changes" || row.notes.length > 0);
  const quiet = report.rows.filter((row) => !loud.includes(row));
  return html`<div class="list-told" data-refused=${report.counts.refused > 0 ? "yes" : null}><p class="lead" role="status">${report.kept > 0 ? `Kept: ${counted(report.kept, "record")}.` : `${report.said}.`}</p>
    <${Headers} report=${report} renamed=${renamed} rename=${rename} />
    ${loud.length === 0 ? null : html`<ol class="list-rows">${loud.map((row) => html`<${Row} key=${row.row} row=${row} />`)}</ol>`}
    ${quiet.length === 0 ? null : html`<details><summary>${loud.length > 0 ? "The others" : "Row by row"}: ${counted(quiet.length, "row")}</summary><ol class="list-rows">${quiet.map((row) => html`<${Row} key=${row.row} row=${row} />`)}</ol></details>`}
    ${report.untold > 0 ? html`<p class="wait">${counted(report.untold, "further row is", "further rows are")} not shown; those that change or are refused stand here first.</p>` : null}
    ${report.kept > 0 ? null : report.counts.refused > 0 ? html`<p>Nothing of a file is kept while a row of it is refused. Mend the file and choose it again.</p>`
      : count === 0 ? html`<p>There is nothing to be kept.</p>`
        : html`<p class="acts"><button type="button" class="act next" disabled=${busy} onClick=${keep}>Keep ${counted(count, "row")}</button></p>`}</div>`;
}

const SAID = { new: "new", same: "same as kept", changes: "changes", refused: "refused" };

function Row({ row }) {
  return html`<li data-outcome=${row.outcome}><span class="wait">row ${row.row}</span> <b class="list-outcome">${SAID[row.outcome]}</b> <span>${row.name || row.id}</span>
    ${row.changes.length + row.errors.length + row.notes.length === 0 ? null : html`<ul>
      ${row.changes.map((one) => html`<li>${one.name}: ${fractions(one.was) || "nothing"} → <b>${fractions(one.now) || "nothing"}</b></li>`)}
      ${row.errors.map((one) => html`<li class="wrong">${one.field}${one.given === "" ? "" : html`, <i>${fractions(one.given)}</i>`}: ${fractions(one.rule)}; <b>${fractions(one.remedy)}</b></li>`)}
      ${row.notes.map((one) => html`<li class="wait">${one}</li>`)}</ul>`}</li>`;
}

/** Headers that mean nothing here: each may be told which column it is. */
function Headers({ report, renamed, rename }) {
  const strange = [...Object.keys(renamed), ...report.left_out.filter((name) => !(name in renamed))];
  if (strange.length === 0 || report.kept > 0) return null;
  return html`<details open=${report.counts.refused > 0}><summary>${counted(strange.length, "column")} of the file ${strange.length === 1 ? "has another name" : "have other names"} than here</summary>
    <div class="list-headers">${strange.map((name, place) => html`<div class="field" key=${name}><label for=${`header-${place}`}>${name}</label>
      <select id=${`header-${place}`} value=${renamed[name] ?? ""} onChange=${(e) => {
        const { [name]: gone, ...others } = renamed;
        void gone;
        rename(e.currentTarget.value === "" ? others : { ...others, [name]: e.currentTarget.value });
      }}><option value="">leave it out</option>${report.columns.map((column) => html`<option value=${column}>${column}</option>`)}</select></div>`)}</div></details>`;
}
