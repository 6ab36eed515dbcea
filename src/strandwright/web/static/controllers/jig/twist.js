/** Twist: how many turns more is huge; every press is a turn. */
import { useState } from "preact/hooks";

import { html } from "../../lib/dom.js";
import { outbox } from "../../models/bench_outbox.js";
import { halvesText } from "../../models/jig.js";
import { announce } from "../../models/shell.js";
import { click, speak } from "../../models/sound.js";
import { Bar } from "./bar.js";
import { Aside, Doubt, useCounter } from "./counter.js";
import { Drawer, handBack } from "./drawer.js";
import { standsNow } from "./now.js";
import { ActZone, Field, Stand } from "./parts.js";

/** As many as an act may tell of. */
const MOST_TURNS = 300;
const MORE = "That is more than wanted: count it?";

/** Half turns from what is in to what is wanted; below zero they come out. */
const halvesLeft = (wanted, has) => Math.round(2 * (wanted - has));

export function useTurns(id, wanted) {
  const lay = async (halves, anyway) => {
    const has = standsNow(id).turns.in;
    const left = halvesLeft(wanted, has);
    if (left === 0 && !anyway) return false;
    const way = left < 0 ? -1 : 1;
    const laid = left === 0 ? halves : Math.min(halves, Math.abs(left));
    await outbox.act(["turned", { turns: has + (way * laid) / 2 }]);
    const rest = halvesText(Math.abs(halvesLeft(wanted, standsNow(id).turns.in)));
    announce(`${turnsText(rest)} to go`);
    speak(rest);
    click(rest === "1" || rest === "0" ? "soon" : "counted");
    return true;
  };
  const undo = async () => {
    const last = standsNow(id).lastTurned;
    if (last) await outbox.act(["withdrawn", { event: last.id }]);
  };
  return useCounter({ of: `twist/${id}`, lay, undo, more: MORE });
}

export function Twist({ id, view, step, act }) {
  const wanted = act.ask?.turns ?? step.turns ?? view.turns.wanted;
  const counter = useTurns(id, wanted);
  const { turns } = view;
  const left = halvesLeft(wanted, turns.in);
  const much = halvesText(Math.abs(left));
  const few = Math.abs(left) <= 2;
  return html`
    <${Stand} title=${act.title} caution=${act.caution} huge=${much}
      of=${`${few ? "turn" : "turns"} ${left < 0 ? "to take out" : `more, ${turns.hand}`}`}
      under=${under(turns, wanted)} lines=${turns.in === 0 ? act.lines : []}>
      <${Bar} groups=${[{ name: "turns", label: "", colour: "", laid: Math.round(2 * turns.in), halves: Math.round(2 * wanted) }]} current=${0} unit="turns" />
    <//>
    <div class="jig-bottom"><${TurnsFoot} counter=${counter} turns=${turns} wanted=${wanted} />
    <${ActZone} pedal onAct=${(e) => counter.press("round", e.timeStamp)} text=${words(left)} /></div>`;
}

/** The wanted turns are in: a press more is asked about; going on takes a hand, not a pedal. */
export function TwistDone({ id, view, step, onGo }) {
  const wanted = step.turns ?? view.turns.wanted;
  const counter = useTurns(id, wanted);
  return html`
    <${Stand} title="The turns are in" huge=${halvesText(Math.round(2 * view.turns.in))} of=${`turns ${view.turns.hand}`}
      under="hold the end: a turn lost now is a wrong length" />
    <div class="jig-bottom"><${TurnsFoot} counter=${counter} turns=${view.turns} wanted=${wanted} />
    <${ActZone} text=${`Go on: ${view.act?.title ?? "the next step"}`} onAct=${onGo}
      under="touch, or Tab and Enter; a pedal does not go on by itself" /></div>`;
}

const turnsText = (halves) => `${halves} ${["1", "1/2"].includes(halves) ? "turn" : "turns"}`;

function under(turns, wanted) {
  const has = halvesText(Math.round(2 * turns.in));
  const one = turns.one_turn_text ? ` · one turn: ${turns.one_turn_text}` : "";
  return `${has} of ${halvesText(Math.round(2 * wanted))} turns in the line${one}`;
}

function words(left) {
  if (left === 0) return "The turns are in";
  if (left < 0) return left === -1 ? "Half a turn taken out" : "Pedal, space or touch: one turn out";
  return left === 1 ? "Pedal, space or touch: the last half turn" : "Pedal, space or touch: one turn more";
}

function TurnsFoot({ counter: { press, question, answer }, turns, wanted }) {
  const [typed, setTyped] = useState("");
  const [wrong, setWrong] = useState("");
  const send = async (event) => {
    event.preventDefault();
    const total = readHalves(typed);
    if (total === null) return setWrong("turns are counted in whole and half ones, from 0 up: write it like 14, 14 1/2 or 14.5");
    if (total > MOST_TURNS) return setWrong(`no line takes more than ${MOST_TURNS} turns: count again, and write how many are in it in all`);
    setWrong("");
    handBack();
    await outbox.act(["turned", { turns: total }]);
    setTyped("");
  };
  return html`
    <div class="jig-foot">
      <${Doubt} question=${question} answer=${answer} />
      <div class="jig-sides" hidden=${question !== null}>
        <${Aside} onAct=${() => press("undo")}>Take back <span class="jig-wide">the last</span> <kbd>u</kbd><//>
        <${Aside} onAct=${() => press("half")}>Half a turn <kbd>h</kbd><//>
        <${Drawer} title="Counted otherwise">
          <form class="jig-weigh-list" onSubmit=${send}>
            <${Field} name="turns" label="Turns in the line now" value=${typed} wrong=${wrong}
              hint=${`wanted: ${halvesText(Math.round(2 * wanted))}; counted here: ${halvesText(Math.round(2 * turns.in))}`} onInput=${setTyped} />
            <button class="act">They are in</button></form><//>
      </div>
    </div>`;
}

/** "14 1/2", "14.5", "14½" as 14.5; null where it is none of these. */
export function readHalves(text) {
  const match = /^\s*(\d{1,3})?(?:\s*(?:(½|1\s*[/⁄]\s*2)|[.,]([05])))?\s*$/.exec(text);
  if (!match || text.trim() === "") return null;
  return Number(match[1] ?? 0) + (match[2] || match[3] === "5" ? 0.5 : 0);
}
