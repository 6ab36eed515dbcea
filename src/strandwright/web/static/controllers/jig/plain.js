/** A step that is simply done: shift, loops and the like. */
import { html } from "../../lib/dom.js";
import { ActForm, Stand } from "./parts.js";

const WORDS = { wax: "The bundles are waxed and marked", marry: "Both tails are married in", reinforce: "The strands are laid in and bound", untwist: "The bodies are free of turns",
  shift: "The skein is shifted", loops: "The loops are served and closed", halve: "The skein is halved, the left leg tagged",
  "twist-legs": "Both legs are twisted", tie: "The fork is tied",
  strap: "The strap is made", "turn-strap": "The strap is twisted", hang: "It hangs", pull: "It is pulled up", bind: "The loops are bound",
  mark: "The marks are on", "posts-out": "The inner posts are out" };

export function Plain({ id, step, act }) {
  return html`<${ActForm} build=${id} step=${step} text=${WORDS[step.key] ?? "This is done"} fields=${[]}
    pairsOf=${() => [["step-done", { step: step.id }]]}
    before=${html`<${Stand} title=${act.title} caution=${act.caution} huge=${act.headline} lines=${act.lines} />`} />`;
}
