/** A bench or a bow as it is kept: every part in its place, saved together. */
import { useMemo } from "preact/hooks";
import { fractions, html } from "../lib/dom.js";
import { KeptDraft } from "../models/kept_draft.js";
import { announce } from "../models/shell.js";
import { Failure, Field } from "./parts.js";

/**
 * @typedef {{field: string, label: string, such?: string, hint?: string, options?: string[], usual?: string, number?: boolean}} Part
 *   `usual` is what holds where the document says nothing
 * @typedef {{title: string, parts: Part[]}} Group
 */

/**
 * @param {{kind: "bench"|"bow", id: string, path: string, revision: number, tables: any, groups: Group[],
 *   children?: any, onSaved?: () => void}} props
 */
export function KeptEditor({ kind, id, path, revision, tables, groups, children, onSaved }) {
  const draft = useMemo(() => new KeptDraft(kind, path), [kind, path]);
  const parts = groups.flatMap((group) => group.parts);
  const numbers = new Set(parts.filter((part) => part.number).map((part) => part.field));
  const dirty = Object.keys(draft.typed.value).length > 0;
  const elsewhere = draft.elsewhere(parts.map((part) => part.field));
  const failure = draft.failure.value;
  const save = async (/** @type {Event} */ event) => {
    event.preventDefault();
    const saved = await draft.save(tables, revision, numbers);
    announce(saved ? "saved" : `Not saved. ${draft.failure.value?.message ?? ""}`);
    if (saved) onSaved?.();
  };
  return html`<form class="kept" onSubmit=${save} novalidate aria-label=${String(tables.name || id)}>
    ${groups.map((group) => html`<fieldset><legend>${group.title}</legend><div class="fields">
      ${group.parts.map((part) => html`<${One} key=${part.field} draft=${draft} part=${part} tables=${tables} id=${`${kind}-${id}-${part.field}`} />`)}</div></fieldset>`)}
    ${failure && (elsewhere.length > 0 || failure.errors.length === 0) ? html`<${Failure} failure=${{ message: conflictOr(failure), errors: elsewhere }} />` : null}
    <div class="acts">
      <button class="act" disabled=${!dirty || draft.busy.value}>${draft.busy.value ? "Saving…" : `Save the ${kind}`}</button>
      ${dirty ? html`<button type="button" class="plain" onClick=${() => draft.giveUp()}>Leave it as it was</button>` : null}
      <${Saved} changed=${draft.changed.value} kind=${kind} />
    </div>${children}</form>`;
}

/** A revision that was overtaken: the newest stands in the fields nobody typed in. */
const conflictOr = (failure) => (failure.status === 409
  ? "It was changed elsewhere meanwhile. The fields you did not touch now show the newest; save again to lay yours over it." : failure.message);

function Saved({ changed, kind }) {
  if (changed === null) return null;
  if (changed.length === 0) return html`<span class="wait" role="status">saved${kind === "bench" ? "; no job changes by it" : ""}</span>`;
  return html`<span role="status">saved; planned anew: ${changed.map((job, k) => html`${k > 0 ? ", " : ""}<a href=${`#/line/${encodeURIComponent(job)}`}>${job}</a>`)}</span>`;
}

function One({ draft, part, tables, id }) {
  const wrong = draft.wrongAt(part.field);
  const shown = draft.shown(tables, part.field) || part.usual || "";
  const described = [wrong ? `${id}-wrong` : "", part.hint ? `${id}-hint` : ""].join(" ").trim() || null;
  const type = (/** @type {any} */ event) => draft.type(part.field, event.currentTarget.value);
  return html`<${Field} label=${part.label} id=${id} wrong=${wrong} hint=${part.hint ?? ""}>
    ${part.options ? html`<select id=${id} aria-invalid=${wrong ? "true" : null} aria-describedby=${described} onChange=${type}>
        ${part.options.includes(shown) ? null : html`<option value="" selected>choose</option>`}
        ${part.options.map((one) => html`<option value=${one} selected=${shown === one}>${fractions(one)}</option>`)}</select>`
      : html`<input id=${id} value=${shown} placeholder=${part.such ?? ""} autocomplete="off" spellcheck=${false} aria-invalid=${wrong ? "true" : null}
        aria-describedby=${described} onInput=${type} />`}<//>`;
}
