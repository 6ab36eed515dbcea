/** On swinging arms: swing, serve a loop, swing back, serve both legs; each with its arm from above. */
import { useLayoutEffect, useRef } from "preact/hooks";

import { html } from "../../lib/dom.js";
import { pictureTheme } from "../../models/shell.js";
import { ActForm, Stand } from "./parts.js";

const WORDS = {
  swing: "Both arms are square and pinned", loop: "This loop is served", level: "The loops' ends are level",
  legs: "Both legs are served", lay: "This loop is laid and folded",
};
/** What is done where the same kind of step does something else, by how its title begins. */
const OTHERWISE = [
  ["Swing the arms back", "Both arms are in line and pinned"], ["Mark", "This loop is marked"],
  ["Serve the outer half", "This half is served"], ["Serve the inner half", "This half is served"], ["Bind", "Both legs are bound"],
];

export function Arms({ id, advice, step, act }) {
  const drawn = advice.arms?.pictures[pictureTheme.value]?.[step.id] ?? [];
  const [, text = WORDS[step.key]] = OTHERWISE.find(([begins]) => act.title.startsWith(begins)) ?? [];
  return html`<${ActForm} build=${id} step=${step} text=${text} fields=${[]}
    pairsOf=${() => [["step-done", { step: step.id }]]}
    before=${html`<${Stand} title=${act.title} caution=${act.caution} huge=${act.headline} lines=${act.lines}>
      ${drawn.length ? html`<div class="jig-arms" data-of=${step.key}>${drawn.map((svg) => html`<${Drawn} key=${svg} svg=${svg} />`)}</div>` : null}<//>`} />`;
}

/** @param {{svg: string}} props */
function Drawn({ svg }) {
  const box = useRef(/** @type {any} */ (null));
  useLayoutEffect(() => {
    box.current.replaceChildren(document.importNode(new DOMParser().parseFromString(svg, "image/svg+xml").documentElement, true));
  }, [svg]);
  return html`<div ref=${box}></div>`;
}
