/** A counter of presses: judges them one after the other, asks about the doubtful, never guesses. */
import { signal } from "@preact/signals";

import { html } from "../../lib/dom.js";
import { PressJudge } from "../../models/press.js";
import { click } from "../../models/sound.js";
import { usePedal } from "./pedal.js";

// One of each for the window: a foot may be ahead of the disk, so presses wait their turn while the
// colour or the step changes under them, and a question must be seen wherever it comes up.
const judge = new PressJudge();
const asked = signal(/** @type {{of: string, said: string, halves: number, anyway?: boolean}|null} */ (null));
let turn = Promise.resolve();

function inTurn(work) {
  // The outbox has told of any failure; the next press must still be heard.
  turn = turn.then(work).catch(() => undefined);
}

/**
 * @param {{of: string, lay: (halves: number) => Promise<boolean>, undo: () => Promise<void>, more: string}} rules
 *   of names what is counted; lay counts a press and gives true, or gives false where it would be one more than planned;
 *   called with (halves, true) it counts in any case. Both see what stands now, not what was drawn.
 * @returns {{press: (kind: string, when?: number) => void, question: object|null, answer: (yes: boolean) => void}}
 */
export function useCounter({ of, lay, undo, more }) {
  const question = asked.value?.of === of ? asked.value : null;
  const ask = (about) => {
    asked.value = { of, ...about };
    click("asked");
  };
  const count = (halves, anyway) => inTurn(async () => {
    if (!(await lay(halves, anyway))) ask({ said: more, halves, anyway: true });
  });
  const press = (kind, when = performance.now()) => {
    if (kind === "undo") {
      asked.value = null;
      return inTurn(undo);
    }
    const halves = kind === "half" ? 1 : 2;
    const since = judge.judge(when);
    if (since > 0) return ask({ said: `That came ${since.toFixed(1)} s after the last: count it?`, halves });
    asked.value = null;
    return count(halves, false);
  };
  const answer = (yes) => {
    asked.value = null;
    if (yes && question) count(question.halves, question.anyway ?? false);
  };
  usePedal(press);
  return { press, question, answer };
}

/** A doubtful press, asked about; another press answers it with no. */
export function Doubt({ question, answer }) {
  return html`<div class="jig-doubt" role="alert" hidden=${question === null}>
    ${question ? html`<p>${question.said}</p>
      <button class="act" type="button" onClick=${() => answer(true)}>Yes, count it</button>
      <button class="act" type="button" onClick=${() => answer(false)}>No</button>` : null}</div>`;
}

/** A small button beside the counter: acts, and gives the focus back, so that a pedal counts again. */
export function Aside({ onAct, children }) {
  const act = (event) => {
    onAct();
    event.currentTarget.blur();
  };
  return html`<button class="act" type="button" onClick=${act}>${children}</button>`;
}
