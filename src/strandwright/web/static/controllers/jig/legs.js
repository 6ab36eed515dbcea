/** Both legs of a yoke under load: what each reads goes in; what makes them alike comes back. */
import { useState } from "preact/hooks";

import { html } from "../../lib/dom.js";
import { outbox } from "../../models/bench_outbox.js";
import { useEar } from "./ear.js";
import { ActForm, Stand } from "./parts.js";

const WAYS = [
  { hung: "one by one", words: "Hung one by one", other: "They hang together, on two pins" },
  { hung: "together", words: "Hung together on two pins", other: "They hang one by one" },
];

export function Legs({ id, step, act }) {
  const { ask } = act;
  const [way, setWay] = useState(0);
  const ear = useEar(id, step);
  const alone = way === 0;
  const of = (leg) => (alone ? `The tape reads, hung by the ${leg} leg` : `The ${leg} leg reads, from the tie`);
  const before = ask.read_before === true;
  return html`<${ActForm} key=${way} build=${id} step=${step} text="This is what both legs read" ear=${ear}
    before=${html`<${Stand} title=${act.title} caution=${act.caution} huge=${act.headline}
      under=${WAYS[way].words} lines=${act.lines} />`}
    fields=${[
      { name: "left", label: of("left"), value: "", needed: true, hint: "outside to outside" },
      { name: "right", label: of("right"), value: "", needed: true, hint: "at the same load" },
      ...(alone ? [] : [
        { name: "span", label: "Between the middles of the two pins", value: ask.span_text ?? "", needed: true },
        { name: "overall", label: "Overall, along the pull", value: "", shown: true },
      ]),
      { name: "load", label: "At a load of", value: (alone ? ask.alone_load_text : ask.together_load_text) ?? "", shown: true },
      { name: "left_turns", label: "Turns in the left leg", value: before ? ask.left_turns : "", shown: before, hint: `${ask.left_turns ?? ""} when it was read last` },
      { name: "right_turns", label: "Turns in the right leg", value: before ? ask.right_turns : "", shown: before, hint: `${ask.right_turns ?? ""} when it was read last` },
    ]}
    aside=${html`<p class="jig-sides">
      <button class="act" type="button" onClick=${() => setWay(1 - way)}>${WAYS[way].other}</button>
      ${before ? html`<button class="act" type="button" onClick=${() => outbox.act(["step-done", { step: step.id }])}>Go on with the legs as they are</button>` : null}</p>`}
    pairsOf=${(typed, isHeard) => [["legs-read", {
      ...typed, ...counted(typed, "left_turns"), ...counted(typed, "right_turns"),
      ...(alone ? {} : { hung: WAYS[way].hung }), ...(isHeard ? { heard: true } : {}),
    }]]} />`;
}

/** Turns as a number: 7, 3.5 or 3 1/2; what is none is left for the bench computer to refuse. */
function counted(typed, name) {
  const text = String(typed[name] ?? "").trim();
  const [, whole, half] = /^(\d+(?:\.\d+)?)?(?:\s*(1\/2))?$/.exec(text) ?? [];
  if (whole === undefined && half === undefined) return {};
  return { [name]: Number(whole ?? 0) + (half ? 0.5 : 0) };
}
