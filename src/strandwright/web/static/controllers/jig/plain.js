/** A step that is simply done: shift, loops, arms, laying and the like, with its pictures where it has some. */
import { useLayoutEffect, useRef } from "preact/hooks";

import { html } from "../../lib/dom.js";
import { pictureTheme } from "../../models/shell.js";
import { ActForm, Stand } from "./parts.js";

const WORDS = {
  wax: "The bundles are waxed and marked", lay: "This loop is laid and folded", marry: "Both tails are married in", untwist: "The bodies are free of turns",
  reinforce: "The strands are laid in and bound", shift: "The skein is shifted", loops: "The loops are closed, and hang on the pins",
  halve: "The skein is halved, the left leg tagged", "twist-legs": "Both legs are twisted", tie: "The fork is tied",
  strap: "The strap is made", "turn-strap": "The strap is twisted", hang: "It hangs", pull: "It is pulled up", "serve-loops": "The loops are served",
  "cut-pieces": "The pieces are cut and waxed", rail: "Both rail marks are on",
  swing: "Both arms are square and pinned", mark: "The marks are on", loop: "This loop is served", level: "The loops' ends are level",
  legs: "Both legs are served", "posts-out": "The inner posts are out",
};
/** What is done where the same kind of step does something else, by how its title begins. */
const OTHERWISE = [
  ["Swing the arms back", "Both arms are in line and pinned"], ["Mark the loops", "Both loops are marked"], ["Mark the loop", "This loop is marked"],
  ["Serve the outer half", "This half is served"], ["Serve the inner half", "This half is served"], ["Bind both legs", "Both legs are bound"],
  ["Slide", "The skein is slid"], ["Hang the strap", "The strap hangs in the eye"],
];

export function Plain({ id, advice, step, act }) {
  const drawn = advice.arms?.pictures[pictureTheme.value]?.[step.id] ?? [];
  const [, text = WORDS[step.key] ?? "This is done"] = OTHERWISE.find(([begins]) => act.title.startsWith(begins)) ?? [];
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
