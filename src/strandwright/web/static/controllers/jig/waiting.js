/** Something is kept whose advice is not there yet. */
import { html } from "../../lib/dom.js";
import { outbox } from "../../models/bench_outbox.js";
import { ActZone, Stand } from "./parts.js";

/** A turn is kept: what comes next can be done, though its numbers may change. */
export function Waiting({ view, onward }) {
  const silent = outbox.answers.value === "no";
  return html`
    <${Stand} title=${silent ? "Advice follows when the bench computer answers" : "Working out what it means"}
      lines=${silent ? ["What you recorded is kept in this browser and goes over by itself.",
        "You can go on; numbers that hang on it may still change."] : []} />
    ${silent && onward && view.act && view.act.key !== "proof" ? html`<${ActZone} calm text=${`Go on meanwhile: ${view.act.title}`} onAct=${onward} />` : null}`;
}

/** A reading is kept and not heard: it may still be asked about, so nothing is built on it. */
export function Unheard({ reading }) {
  if (outbox.answers.value !== "no") return html`<${Stand} title="Working out what it means" huge=${reading.body.length} />`;
  return html`<${Stand} title="The reading waits to be heard: go on when it is" huge=${reading.body.length}
    lines=${["It is kept in this browser and goes over by itself as soon as the bench computer answers.",
      "Leave the line as it is: should the reading surprise, it is asked for once more before anything is built on it.",
      "If it was mistyped, take it back: Route, then the reading's step."]} />`;
}
