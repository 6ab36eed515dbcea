/** The jig: one step, one huge number, one next act. */
import { useEffect, useLayoutEffect, useMemo, useState } from "preact/hooks";

import { fractions, html } from "../lib/dom.js";
import { addressOf } from "../lib/route.js";
import { stayAwake } from "../models/awake.js";
import { outbox } from "../models/bench_outbox.js";
import { project } from "../models/jig.js";
import { nameScreen } from "../models/shell.js";
import { AfterReading, Question, isNews } from "./jig/after_reading.js";
import { Head } from "./jig/head.js";
import { Over } from "./jig/over.js";
import { More } from "./jig/more.js";
import { Refused } from "./jig/refused.js";
import { RouteList } from "./jig/route_list.js";
import { Step } from "./jig/step.js";
import { useNoted } from "./jig/noted.js";

/** @param {{id: string}} props the build */
export function Screen({ id }) {
  useEffect(() => {
    outbox.follow(id);
    return stayAwake();
  }, [id]);
  const advice = outbox.advice.value;
  const pending = outbox.pending.value;
  const done = outbox.done.value;
  const view = useMemo(() => {
    const waiting = pending.filter((item) => item.build === id).map((item) => item.event);
    return advice && project(advice, waiting, done.map((d) => d.event));
  }, [advice, pending, done, id]);
  useEffect(() => nameScreen(advice ? `${advice.name}, at the jig` : "At the jig"), [advice?.name]);
  if (!view) return html`<${Nothing} id=${id} />`;
  return html`<${Jig} id=${id} advice=${advice} view=${view} />`;
}

function Jig({ id, advice, view }) {
  const [place, setPlace] = useState("step"); // step, route, more
  const [chosen, setChosen] = useState(null); // a step looked at that is not the next act
  const [seen, setSeen] = useNoted(`seen/${id}`, "");
  useLayoutEffect(() => {
    if (place === "step" && chosen === null) return undefined;
    // Heard before a counter, and from the moment the page shows it: here the key leaves, and is no round.
    const leave = (event) => {
      if (event.key !== "Escape" || event.defaultPrevented) return;
      event.preventDefault();
      setPlace("step");
      setChosen(null);
    };
    addEventListener("keydown", leave, { capture: true });
    return () => removeEventListener("keydown", leave, { capture: true });
  }, [place, chosen]);
  const look = (step) => {
    setChosen(step === view.act?.step ? null : step);
    setPlace("step");
  };
  const head = (number) => html`
    <${Head} advice=${advice} number=${number} count=${view.steps.length} place=${place} onPlace=${setPlace} />
    <${Refused} build=${id} onAgain=${look} steps=${view.steps} />`;
  const frame = (key, inner, number = null) => html`
    <section class="jig" data-step=${key} aria-label="At the jig">${head(number)}${inner}</section>`;

  if (place === "route") {
    return frame("route", html`<${RouteList} view=${view} chosen=${chosen} onChoose=${look} />`);
  }
  if (place === "more") return frame("more", html`<${More} id=${id} advice=${advice} view=${view} />`);
  if (seen === undefined) return frame("wait", null);
  // Rounds are counted on, whatever a reading in their midst came to; it is told of at their end.
  const counts = view.act?.key === "wind";
  if (chosen === null && !counts && view.question) return frame("question", html`<${Question} advice=${advice} />`);
  if (chosen === null && !counts && isNews(advice, view, seen)) {
    return frame("news", html`<${AfterReading} advice=${advice} view=${view} onRead=${setSeen} />`);
  }
  if (view.over && chosen === null) return frame("over", html`<${Over} id=${id} advice=${advice} view=${view} />`);
  const step = view.steps.find((s) => s.id === (chosen ?? view.act?.step));
  return frame(step?.key ?? "wait", html`
    <${Step} id=${id} advice=${advice} view=${view} step=${step} chosen=${chosen !== null} onLook=${setChosen} />`,
    step?.number);
}

/** Before any advice has come: say what is known. */
function Nothing({ id }) {
  const begins = outbox.pending.value.some((item) => item.build === id);
  const refused = outbox.refused.value.find((item) => item.build === id && item.job);
  const said = outbox.missing.value;
  const silent = outbox.answers.value === "no";
  return html`
    <section class="jig" data-step="nothing" aria-label="At the jig">
      <header class="jig-head"><a class="act" href="#/">Jobs</a></header>
      <div class="jig-body">
        ${refused ? html`<${NotBegun} item=${refused} />`
          : begins ? html`<h1>The build begins when the bench computer answers</h1>
            <p>The wish to begin is kept in this browser and goes off by itself.</p>`
          : said ? html`<h1>This build is not kept here</h1><p>${said}</p>`
          : silent ? html`<h1>The bench computer does not answer</h1>
            <p>This browser has not seen this build before, so it cannot show it yet. It goes on trying.</p>`
          : html`<p class="loading">Fetching the build…</p>`}
      </div>
    </section>`;
}

/** The bench computer would not begin the build: why, and back to the line to mend it. */
function NotBegun({ item }) {
  const back = async () => {
    await outbox.release(item.id);
    location.hash = addressOf("line", item.job);
  };
  return html`<h1>The build was not begun</h1>
    <p>${item.said}</p>
    <ul class="jig-lines">${item.errors.map((one) => html`<li>${fractions(`${one.field}: ${one.rule}; ${one.remedy}`)}</li>`)}</ul>
    <p class="jig-sides"><button class="act" onClick=${back}>Go to the line</button>
      <button class="act" onClick=${() => outbox.release(item.id, { again: true })}>Begin it once more</button></p>`;
}
