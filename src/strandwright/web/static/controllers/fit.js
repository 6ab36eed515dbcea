/** Lines on their way onto the bow: one act after the other, figures before and now, every turn counted. */
import { useMemo, useState } from "preact/hooks";
import { fractions, html } from "../lib/dom.js";
import { addressOf } from "../lib/route.js";
import { useFetched } from "../models/fetched.js";
import { OrderDraft, units } from "../models/order_draft.js";
import { announce } from "../models/shell.js";
import { Units } from "./order_parts.js";
import { Failure, Field, momentText, WhenFetched } from "./parts.js";

/** Figures that are tied in, and read on the strung bow. */
const HEIGHTS = ["nock_height", "peep_height"];

/** @param {{id: string}} props */
export function Screen({ id }) {
  const fetched = useFetched(`/api/fits/${encodeURIComponent(id)}`);
  const draft = useMemo(() => new OrderDraft(id, undefined, "fit"), [id]);
  /** Write an event down and show what follows. */
  const write = async (part, type, body, written) => {
    const page = await draft.write(part, type, body, units.value, written);
    if (page) { fetched.value.value = page; announce(nextOf(page)?.title ?? "Every act is done"); }
    return page;
  };
  return html`<section class="page fit-page"><${WhenFetched} fetched=${fetched} what="The walk">${(page) => html`
    <${Head} page=${page} />
    <${Failure} failure=${draft.failure.value && !draft.failure.value.errors?.length ? draft.failure.value : null} />
    <${Next} page=${page} draft=${draft} write=${write} />
    <div class="fit-work"><${Figures} page=${page} draft=${draft} write=${write} /><${Turns} page=${page} draft=${draft} write=${write} /></div>
    <${Acts} page=${page} />
    <${Happened} page=${page} draft=${draft} write=${write} />
    <${End} page=${page} draft=${draft} write=${write} />`}<//></section>`;
}

const nextOf = (page) => page.acts.find((act) => act.name === page.next) ?? null;
const isSeated = (page) => page.acts.some((act) => act.name === "seat" && act.done_at);

function Head({ page }) {
  const done = page.acts.filter((act) => act.done_at).length;
  return html`<header class="fit-head"><p class="wait">${page.lines.map((line) => line.name).join(", ")} · begun ${page.begun_at.slice(0, 10)}
      ${page.order ? html` · <a href=${addressOf("order", page.order)}>the order</a>` : null}</p>
    <h1>On the bow</h1>
    <p class="wait" role="status">${page.ended ? (page.ended.is_right ? "It is as it was wanted." : `Given up. ${page.ended.said}`)
      : `${done} of ${page.acts.length} acts done · ${page.shots} shots`}</p></header>`;
}

/** The one act that comes next. */
function Next({ page, draft, write }) {
  const act = nextOf(page);
  if (!act) return null;
  const typed = draft.typed.value;
  const wrong = draft.wrongAt("step", "type");
  // What is read at so many shots is written with their count, below.
  const unread = act.shots !== null && page.shots < act.shots;
  const done = async (/** @type {Event} */ event) => {
    event.preventDefault();
    await write("step", "fit-step-done", { step: act.name, ...(typed.texts.said?.trim() ? { said: typed.texts.said.trim() } : {}) },
      (now) => ({ texts: { ...now.texts, said: "" } }));
  };
  const missing = act.asks === "figures" ? page.figures.filter((one) => one.needed && !one.now) : [];
  return html`<form class="fit-next" data-act=${act.name} onSubmit=${done} novalidate>
    <h2>${act.title}</h2>
    ${act.caution ? html`<p class="fit-caution" role="note">${act.caution}</p>` : null}
    ${act.how.map((text) => html`<p>${fractions(text)}</p>`)}
    <p class="wait small">The bow maker's manual, local rules and a qualified technician come before this. ${act.source}</p>
    ${missing.length > 0 ? html`<p class="wait">Write down below first: ${missing.map((one) => one.label).join(", ")}.</p>` : null}
    ${unread ? html`<p class="wait">Then write down below what it reads, with the shots counted.</p>` : null}
    <${Field} label="What you saw, if anything" id="fit-said" wide=${true}><input id="fit-said" value=${typed.texts.said ?? ""} autocomplete="off"
      onInput=${(e) => draft.type("texts", "said", e.currentTarget.value)} /><//>
    ${wrong ? html`<p class="wrong" role="alert">${fractions(wrong.rule)}; <b>${fractions(wrong.remedy)}</b></p>` : null}
    <div class="acts"><button class="act next" disabled=${draft.busy.value !== "" || missing.length > 0 || unread}>${draft.busy.value === "step" ? "Writing…" : "It is done"}</button></div></form>`;
}

function Figures({ page, draft, write }) {
  if (page.ended) return null;
  const typed = draft.typed.value.figures;
  const told = Object.fromEntries(Object.entries(typed).map(([name, text]) => [name, text.trim()]).filter(([, text]) => text !== ""));
  const such = new Map(page.asked.map((one) => [one.name, one.such]));
  const shots = draft.typed.value.texts.shots ?? String(page.shots);
  const save = async (/** @type {Event} */ event) => {
    event.preventDefault();
    const sent = draft.typed.value.figures;
    const count = Number(shots);
    await write("figures", "fit-measured", { figures: told, shots: Number.isInteger(count) ? count : shots },
      (now) => ({ figures: now.figures === sent ? {} : now.figures }));
  };
  const tied = page.acts.some((act) => act.name === "tie" && (act.done_at || page.next === "tie"));
  const shown = page.figures.filter((one) => !HEIGHTS.includes(one.name) || tied || one.now);
  const wrongShots = draft.wrongAt("shots");
  return html`<form class="fit-figures" onSubmit=${save} novalidate><h2>Before and now</h2>
    <table><thead><tr><th scope="col">figure</th><th scope="col">before</th><th scope="col">now</th><th scope="col">off by</th><th scope="col">read</th></tr></thead>
    <tbody>${shown.map((one) => {
      const wrong = draft.wrongAt(`figures.${one.name}`);
      return html`<tr key=${one.name} data-right=${one.is_right === null ? null : String(one.is_right)}>
        <th scope="row">${one.label}</th><td data-name="before">${fractions(one.before) || "–"}</td><td data-name="now">${fractions(one.now) || "–"}</td>
        <td data-name="off by">${fractions(one.off)}${one.is_right === true ? html` <span class="good">as it was</span>` : null}</td>
        <td><input aria-label=${`${one.label}, now`} value=${typed[one.name] ?? ""} placeholder=${fractions(such.get(one.name) ?? "")} autocomplete="off" spellcheck=${false}
          aria-invalid=${wrong ? "true" : null} onInput=${(e) => draft.type("figures", one.name, e.currentTarget.value)} />
          ${wrong ? html`<span class="wrong" role="alert">${fractions(wrong.rule)}; <b>${fractions(wrong.remedy)}</b></span>` : null}</td></tr>`;
    })}</tbody></table>
    <div class="fields"><${Field} label="shots since the lines went on" id="fit-shots" wrong=${wrongShots}><input id="fit-shots" inputmode="numeric" value=${shots} autocomplete="off"
        onInput=${(e) => draft.type("texts", "shots", e.currentTarget.value)} /><//><${Units} id="fit-units" /></div>
    <div class="acts"><button class="act" disabled=${Object.keys(told).length === 0 || draft.busy.value !== ""}>${draft.busy.value === "figures" ? "Writing…" : "Write down what it reads"}</button></div></form>`;
}

function Turns({ page, draft, write }) {
  const [count, setCount] = useState(/** @type {Record<string, number>} */ ({}));
  if (page.ended || !isSeated(page)) return null;
  const change = (build, by) => setCount({ ...count, [build]: (count[build] ?? 0) + by });
  const wrong = draft.wrongAt("turns", "turns-changed.turns", "service.at");
  const put = async (line) => {
    const shots = Number(draft.typed.value.texts.shots ?? page.shots);
    const answer = await write(`turns-${line.build}`, "fit-turned", { build: line.build, turns: count[line.build], shots: Number.isInteger(shots) ? shots : page.shots });
    if (answer) setCount({ ...count, [line.build]: 0 });
  };
  return html`<section class="fit-turns"><h2>Turns put in on the bow</h2>
    <p class="wait">Off the pegs for each, the bow pressed or unstrung. They are written to the line, and its spare is built with them.</p>
    <ul>${page.lines.map((line) => {
      const now = count[line.build] ?? 0;
      return html`<li key=${line.build}><div><b>${line.name}</b> <span class="wait">so far ${fractions(line.turns_text)}, hand ${line.hand}; one turn: ${fractions(line.one_turn)}</span></div>
        <div class="fit-count"><button type="button" class="act" aria-label=${`Half a turn out of ${line.name}`} onClick=${() => change(line.build, -0.5)}>− ½</button>
          <output aria-live="polite">${now === 0 ? "0" : `${fractions(half(Math.abs(now)))} ${now > 0 ? "in" : "out"}`}</output>
          <button type="button" class="act" aria-label=${`Half a turn into ${line.name}`} onClick=${() => change(line.build, 0.5)}>+ ½</button>
          <button type="button" class="act" disabled=${now === 0 || draft.busy.value !== ""} onClick=${() => void put(line)}>Write them down</button></div>
        <p class="small"><a href=${addressOf("bow", line.job)}>Which turns bring the bow home</a></p></li>`;
    })}</ul>
    ${wrong ? html`<p class="wrong" role="alert">${fractions(wrong.rule)}; <b>${fractions(wrong.remedy)}</b></p>` : null}</section>`;
}

const half = (turns) => (Number.isInteger(turns) ? String(turns) : turns > 1 ? `${Math.floor(turns)} 1/2` : "1/2");

function Acts({ page }) {
  return html`<section class="fit-acts"><h2>The walk</h2><ol>${page.acts.map((act) => html`
    <li key=${act.name} data-done=${act.done_at ? "yes" : null} aria-current=${act.name === page.next ? "step" : null}>
      <span>${act.title}</span><span class="wait">${act.done_at ? momentText(act.done_at) : act.name === page.next ? "next" : ""}</span></li>`)}</ol></section>`;
}

function Happened({ page, draft, write }) {
  const rows = [
    ...page.turned.map((one) => ({ ...one, said: `${one.text} · ${page.lines.find((line) => line.build === one.build)?.name ?? ""}` })),
    ...page.measured.map((one) => ({ ...one, said: Object.entries(one.figures).map(([name, text]) => `${page.figures.find((f) => f.name === name)?.label ?? name} ${text}`).join(", ") })),
  ].sort((one, other) => (one.at < other.at ? 1 : -1));
  if (rows.length === 0) return null;
  return html`<details class="fit-happened"><summary>What is written of it</summary><ol>${rows.map((row) => html`
    <li key=${row.event}><span class="wait">${momentText(row.at)} · ${row.shots} shots</span> <span>${fractions(row.said)}</span>
      ${page.ended ? null : html`<button type="button" class="plain small" disabled=${draft.busy.value !== ""} onClick=${() => void write(`back-${row.event}`, "withdrawn", { event: row.event })}>Take back</button>`}</li>`)}</ol></details>`;
}

function End({ page, draft, write }) {
  if (page.ended) {
    return html`<div class="acts">${page.lines.map((line) => html`<a class="act" href=${addressOf("service", line.build)}>${line.name}: its record</a>`)}</div>`;
  }
  const all = page.next === null;
  return html`<div class="acts fit-end"><button type="button" class=${all ? "act next" : "act"} disabled=${draft.busy.value !== ""}
      onClick=${() => void write("end", "fit-ended", { is_right: true })}>It is as wanted</button>
    <button type="button" class="plain" disabled=${draft.busy.value !== ""} onClick=${() => void write("end", "fit-ended", { is_right: false })}>Give it up</button></div>`;
}
