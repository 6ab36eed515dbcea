/** Lock the turns, tag the line: the last act. */
import { html } from "../../lib/dom.js";
import { outbox } from "../../models/bench_outbox.js";
import { halvesText } from "../../models/jig.js";
import { ActZone, Stand } from "./parts.js";

export function Tag({ id, advice, view, act }) {
  const turns = act.ask.turns ?? view.turns.in;
  const hand = act.ask.hand ?? view.turns.hand;
  const text = `${halvesText(Math.round(2 * turns))} turns ${hand}`;
  // Locked only on a judgement that has come back: never on one that is still on its way.
  const ready = !view.over && !act.behind && view.act?.step === act.step;
  return html`
    <${Stand} title=${act.title} caution=${act.caution} huge=${text} under=${advice.proof?.sentence ?? ""} lines=${act.lines}>
      <p class="jig-sides"><a class="act" href=${`/api/builds/${id}/tag.pdf`} target="_blank" rel="noopener">Print the tag</a></p>
    <//>
    ${ready ? html`<${ActZone} text=${`Lock and log ${text}`} under="the build is then done"
      onAct=${() => outbox.act(["locked", { turns, hand }])} />` : null}`;
}
