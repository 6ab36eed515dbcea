/** Set the posts: the setting huge, and what was really set. */
import { html } from "../../lib/dom.js";
import { ActForm, Stand } from "./parts.js";

export function Posts({ id, step, act }) {
  const text = act.title === "Set the pegs" ? "The pegs stand so" : "The posts stand so";
  return html`<${ActForm} build=${id} step=${step} text=${text}
    pairsOf=${({ outside }) => [["posts-set", { outside }]]}
    before=${html`<${Stand} title=${act.title} caution=${act.caution} huge=${act.headline} lines=${act.lines} />`}
    fields=${[{ name: "outside", label: "As they stand, outside to outside", value: act.ask.suggest, needed: true,
      hint: "write it as you read it: 57 19/32 in, 1463 mm" }]} />`;
}
