/** Force against draw as read on a draw board, typed in rows; the bows are held to it. */
import { useId, useMemo, useState } from "preact/hooks";
import { counted, html } from "../lib/dom.js";
import { BoardDraft, PARTS } from "../models/board_draft.js";
import { Wrong } from "./keyed.js";

/** @typedef {import("../models/bow_model.js").BowModel} BowModel */

/** As many as a job file holds. */
const MOST = 60;
const NAMES = { draw: "draw", weight: "weight", range: "±" };

/** @param {{model: BowModel}} props */
export function Board({ model }) {
  const draft = useMemo(() => new BoardDraft(model), [model]);
  const { points } = draft;
  const inches = model.units === "in";
  const examples = inches ? { draw: "20 in", weight: "45 lbf", range: "1" } : { draw: "500 mm", weight: "200 N", range: "5" };
  const add = (/** @type {any} */ event) => { event.preventDefault(); void draft.keep("new"); };
  // A point that no bow can have is mended here, so it is not to be looked for.
  const odd = model.refusal.value?.errors.some((one) => one.field.startsWith("bow.draw_board[")) ?? false;
  const [open, setOpen] = useState(false);
  return html`<details class="bow-board" open=${open || odd} onToggle=${(e) => setOpen(e.currentTarget.open)}>
    <summary><h2>Draw board</h2> <span class="wait">${points.length === 0 ? "no point read" : counted(points.length, "point")}</span></summary><div class="bow-board-in">
    <p class="caution" role="note"><b>Before the first point:</b> a bow on a draw board is loaded. Stand aside of its line, hands and face out of the way of string and limbs;
      check the hook and the winch, draw slowly, never past the wall, and let it down by the winch. Never let it go. Keep to the bow maker’s manual; in doubt leave it to a qualified technician.</p>
    <p class="wait small">${model.job.value.bow.kind === "crossbow" ? "Draw is read as brace height is: from the same place, to the string." : "True draw length: from the pivot of the grip to the nocking point, and 1 3⁄4 in."}${" "}A few points from brace to the wall are enough; a ± says how surely the weight was read.</p>
    <form class="bow-points" onSubmit=${add} aria-label="Points of the draw board">
      <p class="bow-point bow-point-head wait small" aria-hidden="true"><span></span>${PARTS.map((part) => html`<span>${NAMES[part]}</span>`)}<span></span></p>
      ${points.map((_, k) => html`<${Point} key=${k} draft=${draft} row=${String(k + 1)} examples=${{ draw: "", weight: "", range: "by its step" }} />`)}
      ${points.length >= MOST ? html`<p class="wait small">${MOST} points are the most; take one out for another.</p>` : html`<${Point} draft=${draft} row="new" examples=${examples} />`}
    </form></div></details>`;
}

/** One point; kept when Enter is pressed or its row is left. */
function Point({ draft, row, examples }) {
  const isNew = row === "new";
  const leave = (/** @type {any} */ event) => {
    if (isNew || event.currentTarget.contains(event.relatedTarget)) return;
    void draft.keep(row);
  };
  const keys = (/** @type {any} */ event) => {
    if (event.key === "Escape") draft.giveUp(row);
    else if (event.key !== "Enter" || isNew || event.target instanceof HTMLButtonElement) return;
    else void draft.keep(row);
    event.preventDefault();
  };
  const name = isNew ? "a further point" : `point ${row}`;
  return html`<div class="bow-point" role="group" aria-label=${name} onFocusOut=${leave} onKeyDown=${keys}>
    <span class="wait small">${isNew ? "next" : row}</span>
    ${PARTS.map((part) => html`<${Part} draft=${draft} row=${row} part=${part} name=${`${part === "range" ? "± of the weight" : part}, ${name}`} example=${examples[part]} />`)}
    ${isNew ? html`<button type="submit" class="act">Add it</button>`
      : html`<button type="button" class="plain small" aria-label=${`Take out ${name}`} onClick=${() => draft.takeOut(Number(row))}>take out</button>`}
  </div>`;
}

function Part({ draft, row, part, name, example }) {
  const id = useId();
  const wrong = draft.wrongAt(row, part);
  return html`<span class="bow-part" data-part=${part}><input class="keyed strong" aria-label=${name} size="9" value=${draft.shown(row, part)} placeholder=${example}
      autocomplete="off" spellcheck=${false} aria-invalid=${wrong ? "true" : null} aria-describedby=${wrong ? id : null}
      onInput=${(e) => draft.type(row, part, e.currentTarget.value)} />
    <${Wrong} id=${id} wrong=${wrong} /></span>`;
}
