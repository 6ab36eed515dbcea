/** What stands in the way of hearing, in plain words, and the way round it. */
import { useEffect, useRef, useState } from "preact/hooks";

import { fractions, html } from "../../lib/dom.js";

/** A line is plucked within this time, or something is wrong [ms]. */
const PATIENCE = 12_000;

/** Why there is no microphone. */
export function NoMicrophone({ ear }) {
  const missing = ear.missing.value;
  if (!missing) return null;
  return html`<div class="told" role="alert"><p><b>${missing.said}</b> ${missing.remedy}</p>
    ${globalThis.isSecureContext ? html`<p class="jig-sides">
      <button class="act" type="button" onClick=${() => ear.open()}>Ask for the microphone again</button></p>` : null}</div>`;
}

/** What the bench computer would not hear, or that it does not answer. */
export function Trouble({ ear }) {
  const trouble = ear.trouble.value;
  const box = useRef(/** @type {HTMLElement|null} */ (null));
  useEffect(() => box.current?.scrollIntoView({ block: "nearest" }), [trouble]);
  if (!trouble) return null;
  return html`<div class="told" role="alert" ref=${box}>
    <p>${trouble.errors?.length ? null : html`<b>${fractions(trouble.said)}</b>`} ${trouble.remedy ?? ""}</p>
    ${(trouble.errors ?? []).map((e) => html`<p>${plain(e.field)}: ${fractions(e.rule)}; <b>${fractions(e.remedy)}</b></p>`)}</div>`;
}

const plain = (field) => String(field).replaceAll("_", " ");

/** What the microphone hears too much or too little of. */
export function Hint({ ear }) {
  const [late, setLate] = useState(false);
  const listens = ear.state.value === "open" && ear.plucks.value.length === 0;
  useEffect(() => {
    setLate(false);
    if (!listens) return undefined;
    const timer = setTimeout(() => setLate(true), PATIENCE);
    return () => clearTimeout(timer);
  }, [listens]);
  const kept = ear.kept.value;
  return html`
    <p class="ear-hint" role="status">${ear.level.value === "loud" ? "Too loud for the microphone: hold it further off, or pluck softer."
      : ear.level.value === "soft" ? "Very soft: hold the microphone nearer to the line."
      : late ? "Nothing heard yet: hold the microphone nearer, and see that it is the one this computer listens to." : ""}</p>
    ${kept.length ? html`<p class="ear-hint">This browser keeps ${kept.join(" and ")} on, made for speech: it may cut a pluck short.
      If loads jump about, bring a recording.</p>` : null}`;
}

/** The way round: a recording made elsewhere. */
export function Recording({ ear }) {
  const chosen = async ({ currentTarget: input }) => {
    const [file] = input.files;
    if (file) await ear.bring(file);
    input.value = ""; // the same file may be brought once more
  };
  return html`<label class="act ear-file" aria-busy=${ear.reading.value}>${ear.reading.value ? "Listening to it…" : "Bring a recording (WAV or FLAC)"}
    <input class="unseen" type="file" accept=".wav,.flac,audio/wav,audio/flac" onChange=${chosen} /></label>`;
}
