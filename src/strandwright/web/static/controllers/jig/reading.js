/** Read a length: what to expect is huge; what was read goes in as people write it. */
import { useState } from "preact/hooks";

import { html } from "../../lib/dom.js";
import { outbox } from "../../models/bench_outbox.js";
import { halvesText } from "../../models/jig.js";
import { clockText, hour, lasted, useNow } from "./clock.js";
import { useEar } from "./ear.js";
import { ActForm, ActZone, Stand } from "./parts.js";

export function Reading({ id, advice, view, step, act }) {
  const [anyway, setAnyway] = useState(false);
  const ear = useEar(id, step);
  const until = Date.parse(advice.rest?.until ?? "") || 0;
  const now = useNow(until > Date.now());
  if (until > now && !anyway) {
    return html`
      <${Stand} title="Let it rest" huge=${clockText(until - now)} under=${`until ${hour(until)}, then: ${act.title}`}
        lines=${[`${advice.rest.text || "The rest"} without load: a line let down creeps back for a while, and would read long.`]} />
      <${ActZone} calm text="Read now anyway" under="the reading then says how long it rested" onAct=${() => setAnyway(true)} />`;
  }
  const { ask } = act;
  const stage = ask.stage ?? step.stage;
  const rested = until > now ? restedSoFar(view) : "";
  const diameters = [ask.diameter].filter(Boolean).map(({ of, expected_text }) => ({
    name: `diameter:${of}`, label: `Diameter, ${of}`, value: "", hint: `by caliper; expected ${expected_text}`, shown: true,
  }));
  return html`<${ActForm} build=${id} step=${step} text="This is what it reads" ear=${ear}
    before=${html`<${Stand} title=${act.title} caution=${act.caution} huge=${ask.expected_text || act.headline}
      under=${conditions(ask)} lines=${act.lines} />`}
    fields=${[
      { name: "length", label: "The tape reads", value: "", needed: true, hint: "such as 57 11/16 in, 57.7 in or 1465 mm" },
      { name: "load", label: "At a load of", value: ask.load_text ?? "" },
      { name: "rest", label: "Rested for", value: rested, shown: rested !== "" },
      { name: "temperature", label: "Temperature", value: "", hint: "66 degF, 19 degC" },
      ...diameters,
    ]}
    aside=${ask.may_lock ? html`<${AsItIs} view=${view} ask=${ask} />` : null}
    pairsOf=${(typed, isHeard) => pairs(stage, typed, isHeard)} />`;
}

/** A line that is not accepted may still be logged, at the technician's word and named so. */
function AsItIs({ view, ask }) {
  const turns = ask.turns ?? view.turns.in;
  const hand = ask.hand ?? view.turns.hand;
  return html`<p class="jig-sides"><button class="act" type="button" onClick=${() => outbox.act(["locked", { turns, hand }])}>
    Log it as it is, not proved: ${halvesText(Math.round(2 * turns))} turns ${hand}</button></p>`;
}

function pairs(stage, typed, isHeard) {
  const read = Object.fromEntries(Object.entries(typed).filter(([name]) => !name.startsWith("diameter:")));
  const diameters = Object.entries(typed).filter(([name]) => name.startsWith("diameter:"))
    .map(([name, diameter]) => ["diameter-read", { of: name.slice(9), diameter }]);
  return [["length-read", { stage, ...read, ...(isHeard ? { heard: true } : {}) }], ...diameters];
}

function conditions({ load_text, pins_text }) {
  return ["expected", load_text && `at ${load_text}`, pins_text && `over ${pins_text} pins`].filter(Boolean).join(" ");
}

/** Time since the last stretch was let down. */
function restedSoFar(view) {
  const stretches = new Set(view.steps.filter((s) => s.key === "stretch").map((s) => s.id));
  const let_down = outbox.done.peek().map((d) => d.event)
    .findLast((e) => e.type === "step-done" && stretches.has(e.body.step));
  return let_down ? lasted(Date.now() - Date.parse(let_down.at)) : "";
}
