/** The strip: the program's drawing of the line with grips laid over it. */
import { useEffect, useLayoutEffect, useRef, useState } from "preact/hooks";
import { html } from "../lib/dom.js";
import { keyedPlace } from "../models/edges.js";
import { reaches } from "../models/grips.js";
import { pictureTheme } from "../models/shell.js";
import { Wrong } from "./keyed.js";
import { Lane } from "./line_contact.js";
import { Grip } from "./line_grip.js";

/** @typedef {import("../models/line_model.js").LineModel} LineModel */

const NARROWEST = 320;
/** The program draws no wider strip [px]. */
const WIDEST = 4000;
const CLOSER = [1, 2, 4];

/** @param {{model: LineModel, contact: import("../models/contact_model.js").ContactModel}} props */
export function Strip({ model, contact }) {
  const scroller = useRef(/** @type {any} */ (null));
  const [room, setRoom] = useState(0);
  const [closer, setCloser] = useState(1);
  const [typing, setTyping] = useState("");
  const { strip, snap_m: snap, plan } = model.view.value;
  const theme = pictureTheme.value;

  useLayoutEffect(() => {
    const watch = new ResizeObserver(([entry]) => setRoom(Math.max(Math.floor(entry.contentRect.width), NARROWEST)));
    watch.observe(scroller.current);
    return () => watch.disconnect();
  }, []);
  useEffect(() => {
    if (room === 0) return undefined;
    // A window that is being resized is drawn once it rests.
    const timer = setTimeout(() => model.draw(Math.min(room * closer, WIDEST), theme), 60);
    return () => clearTimeout(timer);
  }, [room, closer, theme]);

  const bands = bandsOf(strip);
  const many = plan.units === "in" ? model.job.value.paper?.fraction ?? 16 : 10;
  const typed = strip.handles.find((handle) => handle.field === typing);
  return html`<section class="strip-part" aria-label="The line on its strip">
    <div class="strip-scroll" ref=${scroller} tabindex=${closer > 1 ? 0 : null} aria-label=${closer > 1 ? "the strip, closer; scrolls sideways" : null} role=${closer > 1 ? "region" : null}>
      <div class="strip" style=${{ width: `${strip.width}px`, height: `${strip.height}px` }}>
        <${Picture} svg=${strip.svg} />
        <div class="grips" role="group" aria-label="What can be moved">
          ${bands.flatMap((band) => band.handles.map((handle, k) => html`<${Grip} key=${handle.field} model=${model}
            handle=${handle} reach=${band.reaches[k]} top=${band.top} height=${band.height} strip=${strip} snap=${snap}
            many=${many} onType=${setTyping} />`))}
        </div>
        ${typed ? html`<${Typing} key=${typed.field} model=${model} handle=${typed} strip=${strip} done=${() => done(typed.field)} />` : null}
      </div>
      <${Lane} model=${model} contact=${contact} />
    </div>
    <div class="strip-foot">
      <span class="wait small">Drag an edge, a mark or the end; arrow keys move it ${model.view.value.snap_text}, with Shift ${plan.units === "in" ? "1 in" : "ten steps"}; Enter keys a value.</span>
      <span class="acts" role="group" aria-label="How close">${CLOSER.map((times) => html`
        <button type="button" class="plain small" aria-pressed=${closer === times ? "true" : "false"} onClick=${() => setCloser(times)}>${
          times === 1 ? "whole line" : `${times} times closer`}</button>`)}</span>
    </div>
  </section>`;

  function done(/** @type {string} */ field) {
    setTyping("");
    scroller.current?.querySelector(`.grip[data-field="${CSS.escape(field)}"]`)?.focus();
  }
}

/** The drawing, put in as nodes; its text was escaped where it was drawn. */
function Picture({ svg }) {
  const box = useRef(/** @type {any} */ (null));
  useLayoutEffect(() => {
    const read = new DOMParser().parseFromString(svg, "image/svg+xml");
    box.current.replaceChildren(document.importNode(read.documentElement, true));
  }, [svg]);
  return html`<div class="picture" ref=${box}></div>`;
}

/** A value keyed at its grip. */
function Typing({ model, handle, strip, done }) {
  const wrong = model.wrong.value[handle.field];
  const place = keyedPlace(model.job.value, strip.handles, handle.field);
  const [text, setText] = useState(String(wrong?.given ?? place.text));
  const box = useRef(/** @type {any} */ (null));
  useEffect(() => { box.current.focus(); box.current.select(); }, []);
  const keys = async (/** @type {any} */ event) => {
    if (event.key === "Escape") { event.stopPropagation(); model.forgive(handle.field); done(); }
    if (event.key !== "Enter") return;
    event.preventDefault();
    if (text.trim() === place.text || await model.change(place.changes(text.trim()))) done();
  };
  const left = Math.min(Math.max(handle.x - 90, 4), strip.width - 190);
  return html`<div class="typing" style=${{ left: `${left}px`, top: `${strip.middle + strip.thickest / 2 + 8}px` }}>
    <label><span>${handle.name}${place.fromFar ? ", from the far end" : ""}</span><input ref=${box} value=${text} autocomplete="off" spellcheck=${false} aria-invalid=${wrong ? "true" : null}
      onInput=${(e) => setText(e.currentTarget.value)} onKeyDown=${keys} /></label>
    <${Wrong} wrong=${wrong} /></div>`;
}

/** Edges lie on the line, marks under it, the end on the tape; within each, no grip covers another. */
function bandsOf(strip) {
  const half = strip.thickest / 2;
  const bands = [
    { kinds: ["edge"], top: strip.middle - 28, height: 28 + half + 14 },
    { kinds: ["mark"], top: strip.middle + half, height: 44 },
    { kinds: ["end"], top: strip.tape_top - 20, height: 64 },
  ];
  return bands.map((band) => {
    const handles = strip.handles.filter((handle) => band.kinds.includes(handle.kind));
    return { ...band, handles, reaches: reaches(handles.map((handle) => handle.x)) };
  });
}
