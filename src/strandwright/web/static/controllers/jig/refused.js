/** Acts the bench computer would not take: shown with its words until the technician decides. */
import { html } from "../../lib/dom.js";
import { outbox } from "../../models/bench_outbox.js";
import { testOf } from "../../models/jig.js";

const TYPED = new Set(["posts-set", "length-read"]);

export function Refused({ build, steps, onAgain }) {
  const here = outbox.refused.value.filter((item) => item.build === build);
  if (here.length === 0) return null;
  return html`
    <section class="jig-refused" role="alert" aria-label="Not kept">
      ${here.map((item) => {
        const step = steps.find((s) => testOf(s)(item.event));
        return html`<div key=${item.id}>
          <p><b>Not kept: ${wordsOf(item.event)}.</b> ${item.said}${(item.errors ?? []).map((e) => ` ${e.remedy}`)}</p>
          <p class="jig-sides">
            ${step && TYPED.has(item.event.type)
              ? html`<button class="act" onClick=${() => onAgain(step.id)}>Type it again</button>`
              : html`<button class="act" onClick=${() => outbox.release(item.id, { again: true })}>Send it again</button>`}
            <button class="act" onClick=${() => outbox.release(item.id)}>Take it back</button></p></div>`;
      })}
    </section>`;
}

function wordsOf({ type, body }) {
  switch (type) {
    case "rounds-laid": return body.halves === 1 ? "half a round" : "a round";
    case "length-read": return `the reading ${body.length}`;
    case "diameter-read": return `the diameter ${body.diameter}`;
    case "mass-read": return `the spool's loss ${body.lost}`;
    case "posts-set": return `the posts at ${body.outside}`;
    case "turned": return `${body.turns} turns`;
    case "withdrawn": return "taking something back";
    case "started": return "the beginning of the build";
    default: return "a step";
  }
}
