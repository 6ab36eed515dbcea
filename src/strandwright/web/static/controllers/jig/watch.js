/** Watch the stretch: what load, posts and temperature read now and then, and what the line does. */
import { useLayoutEffect, useRef, useState } from "preact/hooks";

import { bound, fractions, html } from "../../lib/dom.js";
import { outbox } from "../../models/bench_outbox.js";
import { pictureTheme } from "../../models/shell.js";
import * as draft from "../../models/watch_draft.js";
import { Field } from "./parts.js";

/** How long it has stood, to the second: the settling of the first minutes hangs on it. */
const stood = (began) => `${Math.max(1, Math.round((Date.now() - Date.parse(began)) / 1000))} s`;

/** @param {{id: string, step: any, advice: any, began: string}} props */
export function Watch({ id, step, advice, began }) {
  const [wrong, setWrong] = useState("");
  const told = advice.watch?.step === step.id ? advice.watch : null;
  const waiting = outbox.pending.value.filter((item) => item.build === id && item.event.type === "watched").length;
  const keep = async () => {
    if (!draft.load.value.trim()) return setWrong("Type or hear the load; it is noted with the rest.");
    setWrong("");
    await outbox.act(["watched", draft.bodyOf(step.id, stood(began))]);
    draft.emptied();
  };
  // It stands inside the form that lets the line down: Enter here must not do that.
  const entered = (event) => {
    if (event.key !== "Enter" || event.target.tagName !== "INPUT") return;
    event.preventDefault();
    keep();
  };
  return html`
    <section class="jig-watch" aria-label="Watch the stretch" onKeyDown=${entered}>
      <h2>Watch the stretch</h2>
      <div class="jig-watch-fields">
        <${Field} name="watch-load" label="The load now" value=${draft.load.value} wrong=${wrong}
          hint=${draft.isHeard.value ? "as it was heard" : told?.load_hint ?? "such as 296 lbf"} onInput=${draft.typeLoad} />
        <${Field} name="watch-posts" label="The posts now" value=${draft.posts.value}
          hint=${told?.posts_hint ?? ""} onInput=${(v) => { draft.posts.value = v; }} />
        <${Field} name="watch-temperature" label="Temperature" value=${draft.temperature.value}
          hint="66 degF, 19 degC" onInput=${(v) => { draft.temperature.value = v; }} />
      </div>
      <p class="jig-sides"><button class="act" type="button" onClick=${keep}>Note it</button>
        ${waiting ? html`<span role="status">${waiting} waiting for the bench computer</span>` : null}</p>
      ${told ? html`<${Told} told=${told} />` : null}
    </section>`;
}

function Told({ told }) {
  const svg = told.charts?.[pictureTheme.value];
  return html`
    ${told.said.length ? html`<div class="jig-watch-said" role="status">
      <p><strong>${bound(told.said[0])}</strong></p>${told.said.slice(1).map((line) => html`<p>${bound(line)}</p>`)}</div>` : null}
    ${svg ? html`<${Chart} svg=${svg} />` : null}
    ${told.points.length ? html`<details><summary>What was read</summary>
      <ol class="jig-watch-read">${told.points.map((point) => html`<li key=${point.event}>
        <span>${fractions(point.text)}</span>
        <button class="act" type="button" onClick=${() => outbox.act(["withdrawn", { event: point.event }])}>Take it back</button></li>`)}
      </ol></details>` : null}`;
}

/** @param {{svg: string}} props */
function Chart({ svg }) {
  const box = useRef(/** @type {any} */ (null));
  useLayoutEffect(() => {
    box.current.replaceChildren(document.importNode(new DOMParser().parseFromString(svg, "image/svg+xml").documentElement, true));
  }, [svg]);
  return html`<div class="jig-watch-chart" ref=${box}></div>`;
}
