/** A reading is kept and its advice is not there yet. */
import { html } from "../../lib/dom.js";
import { outbox } from "../../models/bench_outbox.js";
import { ActZone, Stand } from "./parts.js";

export function Waiting({ view, onward }) {
  const silent = outbox.answers.value === "no";
  return html`
    <${Stand} title=${silent ? "Advice follows when the bench computer answers" : "Working out what it means"}
      lines=${silent ? ["What you recorded is kept in this browser and goes over by itself.",
        "You can go on; numbers that hang on the last reading may still change."] : []} />
    ${silent && onward && view.act && view.act.key !== "proof" ? html`<${ActZone} calm text=${`Go on meanwhile: ${view.act.title}`} onAct=${onward} />` : null}`;
}
