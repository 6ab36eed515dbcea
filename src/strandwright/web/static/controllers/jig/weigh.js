/** The check by mass: what a spool lost tells how many strands are on. */
import { useState } from "preact/hooks";

import { fractions, html } from "../../lib/dom.js";
import { outbox } from "../../models/bench_outbox.js";
import { Drawer, handBack } from "./drawer.js";
import { Field } from "./parts.js";

export function Weigh({ runs }) {
  const [values, setValues] = useState({});
  const [sent, setSent] = useState("");
  const send = (run) => async (event) => {
    event.preventDefault();
    const lost = (values[run.run] ?? "").trim();
    if (!lost) return;
    handBack();
    await outbox.act(["mass-read", { run: run.run, lost }]);
    setSent(`${run.name}: ${lost} noted`);
    setValues((typed) => ({ ...typed, [run.run]: "" }));
  };
  return html`
    <${Drawer} title="Weigh a spool">
      <div class="jig-weigh-list">
        ${runs.map((run) => html`<form key=${run.run} onSubmit=${send(run)}>
          <${Field} name=${`lost-${run.run}`} label=${`The ${run.name} spool lost`} value=${values[run.run] ?? ""}
            hint=${run.spool_loss_text ? `a full count loses ${fractions(run.spool_loss_text)}` : ""}
            onInput=${(v) => setValues((typed) => ({ ...typed, [run.run]: v }))} />
          <button class="act">Note it</button></form>`)}
        <p role="status">${sent}</p>
      </div>
    <//>`;
}
