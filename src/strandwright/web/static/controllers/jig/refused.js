/** Acts the bench computer would not take: shown with its words until the technician decides. */
import { fractions, html } from "../../lib/dom.js";
import { outbox } from "../../models/bench_outbox.js";
import { testOf } from "../../models/jig.js";

const TYPED = new Set(["posts-set", "length-read", "legs-read"]);

export function Refused({ build, steps, onAgain }) {
  const here = outbox.refused.value.filter((item) => item.build === build);
  if (here.length === 0) return null;
  return html`
    <section class="jig-refused" role="alert" aria-label="Not kept">
      ${here.map((item) => {
        const step = steps.find((s) => testOf(s)(item.event));
        return html`<div key=${item.id}>
          <p><b>Not kept: ${wordsOf(item.event)}.</b>
            ${(item.errors ?? []).length === 0 ? ` ${item.said}` : item.errors.map((e) => html` ${fieldOf(e.field)}: ${fractions(e.rule)}; <b>${fractions(mending(e.remedy))}</b>`)}</p>
          <p class="jig-sides">
            ${step && TYPED.has(item.event.type)
              ? html`<button class="act" onClick=${() => onAgain(step.id)}>Type it again</button>`
              : html`<button class="act" onClick=${() => outbox.release(item.id, { again: true })}>Send it again</button>`}
            <button class="act" onClick=${() => outbox.release(item.id)}>Take it back</button></p></div>`;
      })}
    </section>`;
}

/** A field of an act in the words that stand at it on the screen. */
const FIELDS = {
  "posts-set.outside": "the posts, outside to outside", "build.wound_at": "the posts, outside to outside",
  "length-read.length": "what the tape reads", "length-read.load": "at a load of", "length-read.rest": "rested for",
  "length-read.temperature": "temperature", "diameter-read.diameter": "diameter", "mass-read.lost": "what the spool lost",
  "legs-read.left": "by the left leg", "legs-read.right": "by the right leg", "legs-read.load": "at a load of",
  "legs-read.span": "span of the pins", "legs-read.overall": "overall", "legs-read": "both legs",
  "legs-read.left_turns": "turns in the left leg", "legs-read.right_turns": "turns in the right leg",
  "strands-counted.strands": "strands in the skein", "turned.turns": "turns in the line", "noted.text": "what is worth remembering",
  "watched.load": "the load now", "watched.posts": "the posts now", "watched.temperature": "temperature", "watched.stood": "time under load",
  "step-done.load": "load", "step-done.dwell": "time under load", "step-done.temperature": "temperature", "put-aside.why": "why it is put aside",
};

const fieldOf = (field) => FIELDS[field] ?? String(field).replace(/^[a-z-]+\./, "").replaceAll("_", " ");

/** What mends it, in words for who stands at the jig. */
export const mending = (remedy) => remedy.replace("bench.longest", "how far the posts go apart, at Bench").replace("bench.shortest", "how near they come, at Bench");

function wordsOf({ type, body }) {
  switch (type) {
    case "rounds-laid": return body.halves === 1 ? "half a round" : "a round";
    case "length-read": return `the reading ${body.length}`;
    case "diameter-read": return `the diameter ${body.diameter}`;
    case "legs-read": return `the legs at ${body.left} and ${body.right}`;
    case "mass-read": return `the spool's loss ${body.lost}`;
    case "posts-set": return `the posts at ${body.outside}`;
    case "watched": return `the look at ${body.load}`;
    case "turned": return `${body.turns} turns`;
    case "withdrawn": return "taking something back";
    case "started": return "the beginning of the build";
    case "noted": return "the note";
    case "strands-counted": return `${body.strands} strands in the skein`;
    case "put-aside": return "putting the build aside";
    case "locked": return "locking the turns";
    default: return "a step";
  }
}
