/** Terms of backups: the folder they go to, how often one is taken, and which are kept. */
import { useState } from "preact/hooks";
import { put } from "../lib/api.js";
import { html } from "../lib/dom.js";
import { announce } from "../models/shell.js";
import { useTrying, wrongAt } from "./people.js";
import { Failure, Field } from "./parts.js";

const COUNTS = [
  ["every_hours", "Hours apart", "from one to the next"],
  ["keep_last", "Keep the newest", "so many, whatever their age"],
  ["daily", "And one a day", "of the last so many days"],
  ["weekly", "One a week", "of so many weeks"],
  ["monthly", "One a month", "of so many months"],
];

/** @param {{found: any, again: () => Promise<void>, next: boolean}} props */
export function Terms({ found, again, next }) {
  const first = found.terms === null;
  const kept = found.terms ?? { ...found.usual, folder: "" };
  const [typed, setTyped] = useState(/** @type {Record<string, any>} */ ({}));
  const { failure, busy, trying } = useTrying();
  const shown = { ...kept, ...typed };
  const type = (field, value) => setTyped({ ...typed, [field]: value });
  const save = (/** @type {Event} */ event) => {
    event.preventDefault();
    void trying(async () => {
      const counts = Object.fromEntries(COUNTS.map(([field]) => [field, numberOf(shown[field])]));
      const terms = { ...shown, ...counts, folder: shown.folder.trim() };
      await put("/api/records/backups", { revision: found.revision, terms });
      announce("The terms of backups are kept.");
      await again();
    });
  };
  const wrong = (field) => wrongAt(failure, `backups.${field}`);
  const known = ["folder", ...COUNTS.map(([field]) => field)];
  const elsewhere = failure && !known.some((field) => wrong(field)) ? failure : null;
  const form = html`<form class="backup-terms" onSubmit=${save} novalidate aria-label="Terms of backups">
    <${Field} label="Folder" id="backups-folder" wide=${true} wrong=${wrong("folder")} hint=${`on this computer (${found.computer}): best on another disk than the records, and not the only one`}>
      <input id="backups-folder" value=${shown.folder} autocomplete="off" spellcheck=${false} aria-invalid=${wrong("folder") ? "true" : null} onInput=${(e) => type("folder", e.currentTarget.value)} /><//>
    <div class="backup-counts">${COUNTS.map(([field, label, hint]) => html`<${Field} key=${field} label=${label} id=${`backups-${field}`} hint=${hint} wrong=${wrong(field)}>
      <input id=${`backups-${field}`} inputmode="numeric" value=${shown[field]} aria-invalid=${wrong(field) ? "true" : null} onInput=${(e) => type(field, e.currentTarget.value)} /><//>`)}</div>
    <label class="backup-paused"><input type="checkbox" checked=${shown.paused} onChange=${(e) => type("paused", e.currentTarget.checked)} /><span>Take none by the clock</span></label>
    ${!first && kept.computer !== "" && kept.computer !== found.computer ? html`<label class="backup-paused"><input type="checkbox" checked=${shown.computer === found.computer}
      onChange=${(e) => type("computer", e.currentTarget.checked ? found.computer : kept.computer)} /><span>Let this computer (${found.computer}) take them from now on</span></label>` : null}
    <${Failure} failure=${elsewhere} />
    <p class="acts"><button class=${next ? "act next" : "act"} disabled=${busy || shown.folder.trim() === "" || (!first && Object.keys(typed).length === 0)}>${first ? "Take backups there" : "Keep these terms"}</button></p></form>`;
  if (first) return form;
  return html`<details class="backup-details"><summary><span>Where they go and how often: <b>${kept.folder}</b>, every ${kept.every_hours === 1 ? "hour" : `${kept.every_hours} hours`}</span></summary>${form}</details>`;
}

/** What the program refuses in words, if it is no whole number. @param {unknown} text */
function numberOf(text) {
  return /^\s*\d+\s*$/.test(String(text)) ? Number(text) : String(text);
}
