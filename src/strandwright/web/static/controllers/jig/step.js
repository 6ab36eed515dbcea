/** Which screen a step gets, and what stands around it when it is not the next act. */
import { useEffect, useState } from "preact/hooks";

import { bound, html } from "../../lib/dom.js";
import { outbox } from "../../models/bench_outbox.js";
import { askOf, testOf } from "../../models/jig.js";
import { Legs } from "./legs.js";
import { Load } from "./load.js";
import { Posts } from "./posts.js";
import { Reading } from "./reading.js";
import { Serve } from "./serve.js";
import { Tag } from "./tag.js";
import { Twist, TwistDone } from "./twist.js";
import { Unheard, Waiting } from "./waiting.js";
import { Winding, WindingDone } from "./winding.js";
import { Plain } from "./plain.js";

const SCREENS = {
  posts: Posts, wind: Winding, even: Load, stretch: Load, read: Reading, serve: Serve, twist: Twist,
  proof: Reading, tag: Tag, match: Legs,
};

const COUNTED = { wind: WindingDone, twist: TwistDone };
/** What no reading can change: rounds are counted on while one waits. */
const COUNTS_ON = { wind: true };

export function Step({ id, advice, view, step, chosen, onLook }) {
  const [counted, setCounted] = useState(null); // the step that was counted, until a hand says go on
  const [onward, setOnward] = useState("");
  const key = step?.key;
  useEffect(() => {
    if (key in COUNTED && !chosen) setCounted(step);
  }, [step?.id, chosen]);
  if (!step) return html`<${Waiting} view=${view} onward=${null} />`;
  const told = view.act?.step === step.id ? view.act : null;
  const act = told ?? { ...step, step: step.id, why: [], ask: askOf(step) };
  const props = { id, advice, view, step, act };
  const unheard = view.unheard !== null && !(key in COUNTS_ON);
  if (unheard && !chosen) return html`<${Unheard} reading=${view.unheard} />`;
  // A refused act leads back to before the count that its own next step had begun.
  const isFull = counted !== null && view.steps.some((s) => s.id === counted.id && s.done);
  if (!chosen && isFull && !(key in COUNTED)) {
    return html`<${COUNTED[counted.key]} ...${props} step=${counted} onGo=${() => setCounted(null)} />`;
  }
  if (told?.waits && onward !== step.id) {
    return html`<${Waiting} view=${view} onward=${() => setOnward(step.id)} />`;
  }
  const Shown = unheard ? Unheard : SCREENS[key] ?? Plain;
  return html`
    ${chosen ? html`<${Recorded} ...${props} onLook=${onLook} />` : null}
    ${told?.waits ? html`<p class="jig-told">Numbers from before the last reading: advice follows when the bench
      computer answers.</p>` : null}
    ${told && !told.waits && advice.worth_reading ? html`<${WorthReading} worth=${advice.worth_reading} />` : null}
    <${Shown} key=${step.id} chosen=${chosen} reading=${view.unheard} ...${props} />`;
}

/** A reading that is not asked for and pays here: said once, quietly. */
function WorthReading({ worth }) {
  return html`<p class="jig-worth">${bound(`Worth it here: ${worth.title}, ${worth.said}.`)}</p>`;
}

/** What was recorded of a step that is looked at, each to be taken back. */
function Recorded({ id, view, step, onLook }) {
  useEffect(() => { outbox.learn().catch(() => undefined); }, [step.id]);
  const of = testOf(step);
  const waiting = outbox.pending.value.filter((item) => item.build === id).map((item) => item.event);
  const all = [...outbox.done.value.map((d) => d.event), ...waiting];
  const gone = new Set(all.filter((e) => e.type === "withdrawn").map((e) => e.body.event));
  const here = all.filter((e) => of(e) && !gone.has(e.id));
  const shown = step.key === "wind" ? here.slice(-1) : here;
  return html`
    <aside class="jig-told" aria-label="Recorded at this step">
      <p>${step.done ? "Done before." : "Not the next act."}
        ${view.act ? html` <button class="act" onClick=${() => onLook(null)}>Go to the next act: ${view.act.title}</button>` : null}</p>
      ${shown.map((e) => html`<p key=${e.id}>${wordsOf(e)}, ${new Date(e.at).toLocaleTimeString([], { timeStyle: "short" })}
        <button class="act" onClick=${() => outbox.act(["withdrawn", { event: e.id }])}>Take it back</button></p>`)}
    </aside>`;
}

function wordsOf({ type, body }) {
  switch (type) {
    case "posts-set": return `Posts set to ${body.outside}`;
    case "rounds-laid": return body.halves === 1 ? "The last half round" : "The last round";
    case "length-read": return `Read ${body.length}${body.load ? ` at ${body.load}${body.heard ? ", heard" : ""}` : ""}`;
    case "legs-read": return `Read ${body.left} by the left leg, ${body.right} by the right${body.load ? `, at ${body.load}` : ""}`;
    case "turned": return `${body.turns} turns in the line`;
    case "step-done": return ["Done", body.load && `at ${body.load}`, body.dwell && `for ${body.dwell}`].filter(Boolean).join(" ");
    default: return "Recorded";
  }
}
