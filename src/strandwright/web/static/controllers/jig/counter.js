/** A counter of presses: judges them one after the other, asks about the doubtful, never guesses. */
import { useRef, useState } from "preact/hooks";

import { html } from "../../lib/dom.js";
import { PressJudge } from "../../models/press.js";
import { click } from "../../models/sound.js";
import { usePedal } from "./pedal.js";

// One for the window: a change of colour between two presses makes the second no less doubtful.
const judge = new PressJudge();

/**
 * @param {{lay: (halves: number) => Promise<boolean>, undo: () => Promise<void>, more: string}} rules
 *   lay counts a press and gives true, or gives false where it would be one more than planned;
 *   called with (halves, true) it counts in any case. Both see what stands now, not what was drawn.
 * @returns {{press: (kind: string, when?: number) => void, question: object|null, answer: (yes: boolean) => void}}
 */
export function useCounter({ lay, undo, more }) {
  const line = useRef(Promise.resolve());
  const [question, setQuestion] = useState(null);

  const inTurn = (work) => {
    // The outbox has told of any failure; the next press must still be heard.
    line.current = line.current.then(work).catch(() => undefined);
  };
  const ask = (asked) => {
    setQuestion(asked);
    click("asked");
  };
  const count = (halves, anyway) => inTurn(async () => {
    if (!(await lay(halves, anyway))) ask({ said: more, halves, anyway: true });
  });
  const press = (kind, when = performance.now()) => {
    if (kind === "undo") {
      setQuestion(null);
      return inTurn(undo);
    }
    const halves = kind === "half" ? 1 : 2;
    const since = judge.judge(when);
    if (since > 0) return ask({ said: `That came ${since.toFixed(1)} s after the last: count it?`, halves });
    setQuestion(null);
    return count(halves, false);
  };
  const answer = (yes) => {
    const asked = question;
    setQuestion(null);
    if (yes && asked) count(asked.halves, asked.anyway ?? false);
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
