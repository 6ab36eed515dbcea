/** Winding: one press is one round past the marked post. */
import { useState } from "preact/hooks";

import { Value, fractions, html } from "../../lib/dom.js";
import { outbox } from "../../models/bench_outbox.js";
import { comingUp, counted } from "../../models/jig.js";
import { announce } from "../../models/shell.js";
import { click, speak } from "../../models/sound.js";
import { Bar } from "./bar.js";
import { Aside, Doubt, useCounter } from "./counter.js";
import { standsNow } from "./now.js";
import { ActZone, Stand } from "./parts.js";
import { Weigh } from "./weigh.js";

const MORE = "That is one more than planned: count it?";

/** The run to lay on now: the chosen one, or the first that is not full. */
function runNow(runs, chosen) {
  return runs.find((r) => r.run === chosen) ?? runs.find((r) => r.laid < r.halves) ?? runs.at(-1);
}

/** @param {number|null} chosen the run looked at by hand; null lays on whichever is next when its turn comes */
function useRounds(id, chosen) {
  const [unsure, setUnsure] = useState("");
  const lay = async (halves, anyway) => {
    const { winding } = standsNow(id);
    const run = runNow(winding.runs, chosen);
    const left = run.halves - run.laid;
    if (left <= 0 && !anyway) return false;
    // The last half round of an odd count is laid by the same press as any other.
    await outbox.act(["rounds-laid", { run: run.run, halves: by(run, left > 0 ? Math.min(halves, left) : halves) }]);
    tellCount(standsNow(id).winding.runs, run.run);
    return true;
  };
  const undo = async () => {
    const { lastLaid } = standsNow(id);
    if (!lastLaid) return;
    await outbox.act(["withdrawn", { event: lastLaid }]);
    const now = standsNow(id);
    setUnsure(now.unknown > 0 ? "Taken back; the count follows when the bench computer answers." : "");
    announce(`Taken back. ${now.winding.strands_laid} strands on the line`);
  };
  return { ...useCounter({ of: `wind/${id}`, lay, undo, more: MORE }), unsure };
}

/** A press cuts one strand, or lays a round or half of one. */
const by = (run, halves) => (cuts([run]) ? 1 : halves);
const cuts = (runs) => runs[0]?.counts === "strands";

function tellCount(runs, number) {
  const run = runs.find((r) => r.run === number);
  const warning = comingUp(runs, runs.indexOf(run));
  const over = run.laid >= run.halves;
  announce(`${counted(run, run.laid)} of ${counted(run, run.halves)}, ${run.name}. ${warning}`);
  speak([counted(run, run.laid), warning, over ? "full" : ""].filter(Boolean).join(". "));
  click(warning || over ? "soon" : "counted");
}

export function Winding({ id, view, step, chosen }) {
  const { press, question, answer, unsure } = useRounds(id, chosen ? step.run : null);
  const { runs } = view.winding;
  const run = runNow(runs, step.run);
  const left = run.halves - run.laid;
  const index = runs.indexOf(run);
  const cut = cuts(runs);
  const before = index === 0 || run.laid > 0 ? "" : cut ? `Change: ${runs[index - 1].name} is full. Cut ${run.name}.`
    : `Change: the ${runs[index - 1].name} is full. Start the ${run.name} at the ${run.starts_at}.`;
  const warning = before || comingUp(runs, index);
  return html`
    <${Count} view=${view} run=${run} title=${step.title} caution=${step.caution} warning=${warning} unsure=${unsure}
      lines=${run.laid === 0 ? step.lines : []} />
    <div class="jig-bottom"><${Foot} id=${id} runs=${runs} press=${press} question=${question} answer=${answer} />
    <${ActZone} pedal onAct=${(e) => press("round", e.timeStamp)}
      text=${left <= 0 ? "All of it is on" : cut ? "Pedal, space or touch: one strand more" : left === 1 ? "Pedal, space or touch: the last half round" : left <= 0 ? "All of it is on" : "Pedal, space or touch: one round more"} /></div>`;
}

/** All rounds are on: a press more is asked about; going on takes a hand, not a pedal. */
export function WindingDone({ id, view, onGo }) {
  const { press, question, answer, unsure } = useRounds(id, null);
  const { runs } = view.winding;
  const strands = view.winding.strands_laid;
  const cut = cuts(runs);
  return html`
    <${Stand} title=${cut ? "The bundles are cut" : "The winding is done"} huge=${strands} of=${`of ${view.winding.strands} strands`}
      under=${cut ? "on the board, bundle by bundle" : "on the line, tails at their posts"}>
      <p class="jig-warn" role="status">${strands === view.winding.strands ? "Stop: that is all of them." : ""} ${unsure}</p>
      <${Runs} runs=${runs} current=${-1} />
    <//>
    <div class="jig-bottom"><${Foot} id=${id} runs=${runs} press=${press} question=${question} answer=${answer} />
    <${ActZone} text=${`Go on: ${view.act?.title ?? "the next step"}`} onAct=${onGo}
      under="touch, or Tab and Enter; a pedal does not go on by itself" /></div>`;
}

function Count({ view, run, title, caution, warning, unsure, lines }) {
  const { runs, strands, strands_laid } = view.winding;
  return html`
    <${Stand} title=${title} caution=${caution} huge=${counted(run, run.laid)} of=${`of ${counted(run, run.halves)}`}
      under=${cuts(runs) ? `strands of ${run.name} · ${strands_laid} of ${strands} strands on the board`
        : `rounds, counted at the zero post · ${strands_laid} of ${strands} strands on the line`}>
      ${run.cuts?.[run.laid] ? html`<p class="jig-under"><${Value} text=${`cut the next to ${run.cuts[run.laid]}`} /></p>` : null}
      <p class="jig-warn" role="status">${warning}${unsure}</p>
      <${Runs} runs=${runs} current=${runs.indexOf(run)} />
      ${lines.length ? html`<ul class="jig-lines">${lines.map((l) => html`<li>${fractions(l)}</li>`)}</ul>` : null}
    <//>`;
}

function Runs({ runs, current }) {
  const cut = cuts(runs);
  const label = (run) => fractions(`${run.name}${cut ? ":" : ""} ${counted(run, run.halves)}${cut ? "" : `, from the ${run.starts_at}`}`);
  return html`<${Bar} groups=${runs.map((run) => ({ ...run, label: label(run) }))} current=${current} unit=${cut ? "strands" : "rounds"} />`;
}

function Foot({ id, runs, press, question, answer }) {
  return html`
    <div class="jig-foot">
      <${Doubt} question=${question} answer=${answer} />
      <div class="jig-sides" hidden=${question !== null}>
        <${Aside} onAct=${() => press("undo")}>Take back <span class="jig-wide">the last</span> <kbd>u</kbd><//>
        ${cuts(runs) ? null : html`<${Aside} onAct=${() => press("half")}>Half a round <kbd>h</kbd><//>`}
        <${Weigh} id=${id} runs=${runs} />
      </div>
    </div>`;
}
