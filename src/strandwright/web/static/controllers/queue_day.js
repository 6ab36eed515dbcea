/** One day of the queue: a row for each bench and each pair of hands along its hours; a list on a phone. */
import { useRef, useState } from "preact/hooks";
import { html } from "../lib/dom.js";
import { keyOf, momentAt, momentText } from "../models/queue_days.js";

/** A bar that is moved less than this was pressed, not dragged [px]. */
const STILL = 4;
const SHORT = { weekday: "long", day: "numeric", month: "long", timeZone: "UTC" };

/** @param {{day: any, queue: any, chosen: string, choose: (key: string) => void, hold: (task: any, start: string) => any}} props */
export function Day({ day, queue, chosen, choose, hold }) {
  const title = new Date(`${day.day}T00:00:00Z`).toLocaleDateString("en-GB", SHORT);
  const rows = [
    ...queue.benches.map((bench) => ({ name: bench.name, what: "bench", parts: day.parts.filter((part) => part.task.bench === bench.name) })),
    ...queue.hands.map((hand) => ({ name: hand, what: "hands", parts: day.parts.filter((part) => part.kind === "hands" && part.task.hand === hand) })),
  ].filter((row) => row.parts.length > 0);
  const hours = [];
  for (let minute = 60 * Math.ceil(day.from / 60); minute <= day.to; minute += 60) hours.push(minute);
  return html`<section class="queue-day" aria-label=${title}><h2>${title}</h2>
    <div class="queue-chart"><div class="queue-row queue-hours" aria-hidden="true"><span></span><div class="queue-track">${hours.map((minute) => html`<span style=${{ left: share(day, minute) }}>${minute / 60}</span>`)}</div></div>
      ${rows.map((row) => html`<div class="queue-row" key=${`${row.what} ${row.name}`} data-what=${row.what}><span>${row.name}</span>
        <div class="queue-track">${day.open.map((window) => html`<i class="queue-open" style=${{ left: share(day, window.from), width: breadth(day, window) }}></i>`)}
          ${row.parts.map((part) => html`<${Bar} key=${`${part.kind} ${keyOf(part.task)} ${part.span.from}`} part=${part} day=${day} chosen=${chosen} choose=${choose} hold=${hold} />`)}</div></div>`)}</div>
    <ol class="queue-list">${queue.tasks.filter((task) => task.start.slice(0, 10) === day.day).map((task) => html`<li key=${keyOf(task)} data-late=${task.late ? "yes" : null}>
      <button type="button" aria-pressed=${chosen === keyOf(task)} onClick=${() => choose(keyOf(task))}><b>${task.start.slice(11)}–${task.stop.slice(11)}</b>
        <span>${task.job} <span class="wait">${task.bench}</span></span><span class="queue-what">${task.title}${task.stands_min ? html`; <b>let down at ${task.down.slice(11)}</b>` : null}${task.pinned ? " · held" : ""}</span></button></li>`)}</ol></section>`;
}

const share = (day, minute) => `${(100 * (minute - day.from)) / (day.to - day.from)}%`;
const breadth = (day, span) => `${(100 * (span.to - span.from)) / (day.to - day.from)}%`;

/** A part of a task; handwork can be taken hold of. */
function Bar({ part, day, chosen, choose, hold }) {
  const { task, span, kind } = part;
  const [moved, setMoved] = useState(0);
  const grip = useRef(/** @type {{x: number, width: number} | null} */ (null));
  const place = { left: share(day, span.from), width: breadth(day, span) };
  if (kind === "stands") return html`<i class="queue-bar" data-part="stands" data-late=${task.late ? "yes" : null} style=${place} title=${`${task.job} under load, let down at ${task.down.slice(11)}`}></i>`;
  const begins = (dx) => momentAt(day, (span.from - day.from) / (day.to - day.from) + dx);
  const down = (e) => { grip.current = { x: e.clientX, width: e.currentTarget.parentElement.clientWidth }; e.currentTarget.setPointerCapture(e.pointerId); };
  const move = (e) => { if (grip.current) setMoved(e.clientX - grip.current.x); };
  const up = () => {
    const held = grip.current;
    grip.current = null;
    if (held !== null && Math.abs(moved) > STILL) void hold(task, momentText(day.day, begins(moved / held.width)));
    setMoved(0);
  };
  const key = (e) => {
    const step = { ArrowLeft: -5, ArrowRight: 5 }[e.key];
    if (step === undefined) return;
    e.preventDefault();
    void hold(task, momentText(day.day, Math.min(Math.max(span.from + step, 0), 1435)));
  };
  return html`<button type="button" class="queue-bar" data-part="hands" data-late=${task.late ? "yes" : null} data-pinned=${task.pinned ? "yes" : null} aria-pressed=${chosen === keyOf(task)}
    aria-label=${`${task.job}, ${task.title}, ${task.start.slice(11)} to ${task.stop.slice(11)}${task.pinned ? ", held" : ""}${task.late ? ", late" : ""}`} title=${`${task.start.slice(11)} ${task.job}: ${task.title}`}
    style=${{ ...place, transform: moved ? `translateX(${moved}px)` : "" }} onClick=${() => choose(keyOf(task))} onPointerDown=${down} onPointerMove=${move} onPointerUp=${up} onPointerCancel=${() => { grip.current = null; setMoved(0); }} onKeyDown=${key}><span>${task.job}</span></button>`;
}
