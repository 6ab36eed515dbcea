/** After a reading: what it says of the line, and what changed, before going on. */
import { fractions, html } from "../../lib/dom.js";
import { outbox } from "../../models/bench_outbox.js";
import { ActZone, Stand } from "./parts.js";

/** Whether the last reading has words that nobody has read yet. */
export function isNews(advice, view, seen) {
  const last = lastRead(advice);
  return Boolean(last) && last.event !== seen && view.waiting === 0 && wordsOf(advice, last).length > 0;
}

/** The last length, or the last of both legs, whichever came later. */
const lastRead = (advice) => advice.readings.filter((r) => r.kind === "length" || r.kind === "legs")
  .sort((a, b) => (a.at < b.at ? -1 : 1)).at(-1);

const wordsOf = (advice, last) => last.kind === "legs" ? last.said ?? [] : [...new Set([...(last.said ?? []), ...(advice.why ?? []), ...(advice.act?.why ?? [])])];

export function AfterReading({ advice, view, onRead }) {
  const last = lastRead(advice);
  const lines = wordsOf(advice, last);
  const chance = advice.landing?.chance_text;
  const first = last.stage === "proof" ? "" : advice.landing?.chance_first_text;
  const parts = (advice.landing?.budget ?? []).map(({ label, share }) => `${label} ${Math.round(100 * share)} %`);
  const proof = last.stage === "proof" ? advice.proof : null;
  return html`
    <${Stand} title=${proof ? proof.sentence : last.kind === "legs" ? "Both legs, compared" : "Read, and reckoned with"} huge=${last.text}
      under=${[last.expected_text && `expected ${last.expected_text}`, last.off_text].filter(Boolean).join(" · ")} lines=${lines}>
      ${proof ? html`<p class="jig-verdict" data-accepted=${proof.accepted}>${proof.verdict}${proof.error_text ? ` · ${fractions(proof.error_text)}` : ""}</p>` : null}
      ${chance && last.kind !== "legs" ? html`<p class="jig-under">${fractions(`lands with a chance of ${chance}${first ? `, ${first} at the first proof` : ""}; finished ${advice.landing.finished_text ?? ""}`)}</p>` : null}
      ${parts.length && last.kind !== "legs" ? html`<p class="jig-under small">The ± that is left comes most from ${parts.join(", ")}.</p>` : null}
    <//>
    <${ActZone} text=${view.act ? `Go on: ${view.act.title}` : "Go on"} onAct=${() => onRead(last.event)} />`;
}

/** A reading that surprises: read again, or it stands. */
export function Question({ advice }) {
  const { event, said, stage } = advice.question;
  const read = advice.readings.find((r) => r.event === event);
  const again = () => outbox.act(["withdrawn", { event, why: "to be read again" }]);
  const stands = async () => {
    let kept = outbox.done.peek().find((d) => d.id === event);
    if (!kept) {
      await outbox.learn();
      kept = outbox.done.peek().find((d) => d.id === event);
    }
    await outbox.act(
      ["withdrawn", { event, why: "read again, the same" }],
      ["length-read", { ...kept.event.body, stage, sure: true }]);
  };
  return html`
    <${Stand} title="That reading surprises" huge=${read?.text ?? ""} under=${read?.expected_text ? `expected ${read.expected_text}` : ""} lines=${[said]}>
      <p class="jig-sides"><button class="act" type="button" onClick=${stands}>It stands: read again, the same</button></p>
    <//>
    <${ActZone} text="Read it again" onAct=${again} />`;
}
