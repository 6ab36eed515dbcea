/** One grip on the strip: drag it, step it with the arrow keys, or key its value. */
import { useEffect, useRef } from "preact/hooks";
import { fractions, html } from "../lib/dom.js";
import { movedByKey, snapped } from "../models/grips.js";

/** @typedef {import("../models/line_model.js").LineModel} LineModel */
/** @typedef {import("../models/grips.js").Handle} Handle */

/** How long after the last arrow key the place is saved [ms]. */
const STEPS_END = 700;
/** Where a grip's value is shown: above the names, so that it hides none [px from the strip's top]. */
const BUBBLE_TOP = 14;

/**
 * @param {{model: LineModel, handle: Handle, reach: {left: number, right: number}, top: number, height: number,
 *   strip: any, snap: number, many: number, onType: (field: string) => void}} props
 */
export function Grip({ model, handle, reach, top, height, strip, snap, many, onType }) {
  const hold = useRef(/** @type {null|{x: number, at: number, perPixel: number, moved: boolean}} */ (null));
  const timer = useRef(0);
  useEffect(() => () => clearTimeout(timer.current), []);
  const held = model.dragged.value?.field === handle.field ? model.dragged.value : null;
  const at = held?.at_m ?? handle.at_m;
  const shift = held === null ? 0 : (at - handle.at_m) * strip.px_per_m;

  const down = (/** @type {PointerEvent} */ event) => {
    if (event.button !== 0) return;
    const grip = /** @type {HTMLElement} */ (event.currentTarget);
    grip.setPointerCapture(event.pointerId);
    hold.current = { x: event.clientX, at: handle.at_m, perPixel: 1 / strip.px_per_m, moved: false };
  };
  const move = (/** @type {PointerEvent} */ event) => {
    const from = hold.current;
    if (from === null) return;
    const across = event.clientX - from.x;
    if (!from.moved && Math.abs(across) < 3) return;
    from.moved = true;
    const to = snapped(handle, from.at + across * from.perPixel, snap);
    if (to !== model.dragged.peek()?.at_m) model.drag(handle.field, to);
  };
  const up = () => {
    const moved = hold.current?.moved ?? false;
    hold.current = null;
    if (moved) void model.drop();
  };
  const keys = (/** @type {KeyboardEvent} */ event) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    if (event.key === "Enter") { event.preventDefault(); end(); onType(handle.field); return; }
    if (event.key === "Escape" && held !== null) { clearTimeout(timer.current); hold.current = null; model.letGo(); return; }
    const to = movedByKey(event, handle, at, snap, many);
    if (to === null) return;
    event.preventDefault();
    model.drag(handle.field, to);
    clearTimeout(timer.current);
    timer.current = setTimeout(() => void model.drop(), STEPS_END);
  };
  const end = () => {
    clearTimeout(timer.current);
    if (hold.current === null && model.dragged.peek()?.field === handle.field) void model.drop();
  };
  const place = {
    left: `${reach.left}px`, top: `${top}px`, width: `${reach.right - reach.left}px`, height: `${height}px`,
    transform: shift === 0 ? "" : `translateX(${shift}px)`,
  };
  return html`<button type="button" role="slider" class="grip" data-kind=${handle.kind} data-field=${handle.field}
      data-held=${held ? "yes" : null} style=${place} aria-label=${handle.name} aria-valuemin=${round(handle.low_m)}
      aria-valuemax=${round(handle.high_m)} aria-valuenow=${round(at)} aria-valuetext=${handle.at_text}
      aria-orientation="horizontal" aria-keyshortcuts="Enter"
      onPointerDown=${down} onPointerMove=${move} onPointerUp=${up} onPointerCancel=${() => { hold.current = null; model.letGo(); }}
      onDblClick=${() => onType(handle.field)} onKeyDown=${keys} onBlur=${end}>
      <span class="knob" style=${{ left: `${handle.x - reach.left}px` }}></span>
      <span class="bubble" style=${{ left: `${handle.x - reach.left}px`, top: `${BUBBLE_TOP - top}px` }} aria-hidden="true"><b>${handle.name}</b> ${fractions(handle.at_text)}</span>
    </button>`;
}

/** @param {number} metres */
const round = (metres) => Number(metres.toFixed(5));
