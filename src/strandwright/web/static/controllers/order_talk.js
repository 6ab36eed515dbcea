/** What follows: the owner is asked or told, lines get their jobs, the bow goes back; and everything that happened. */
import { useState } from "preact/hooks";
import { counted, fractions, html } from "../lib/dom.js";
import { get } from "../lib/api.js";
import { addressOf } from "../lib/route.js";
import { Part } from "./order_parts.js";
import { beginFit } from "../models/fit.js";
import { Failure, Field, momentText } from "./parts.js";
import { Wrongs } from "./order_who.js";

/** A longer text with its act. */
function Say({ draft, name, label, given = "", verb, next, onSay, part }) {
  const text = draft.typed.value.texts[name] ?? given;
  const id = `say-${name}`;
  const send = async (/** @type {Event} */ event) => { event.preventDefault(); await onSay(text.trim()); };
  return html`<form class="order-form" onSubmit=${send} novalidate><${Field} label=${label} id=${id}><textarea id=${id} rows="3" value=${text} onInput=${(e) => draft.type("texts", name, e.currentTarget.value)}>${text}</textarea><//>
    <${Wrongs} draft=${draft} part=${part} />
    <div class="acts"><button class=${next ? "act next" : "act"} disabled=${text.trim() === "" || draft.busy.value !== ""}>${verb}</button></div></form>`;
}

const without = (name) => (now) => ({ texts: Object.fromEntries(Object.entries(now.texts).filter(([key]) => key !== name)) });

export function Owner({ page, draft, write, next }) {
  const { verdict, questions } = page;
  const waiting = questions.filter((one) => one.answer === "");
  const over = page.refused !== "" || ["handed over", "closed"].includes(page.status);
  return html`<${Part} id="owner" title="What follows from it">
    ${verdict.reasons.length === 0 ? html`<p>${page.look.some((row) => row.open) ? "Nothing is found so far." : "Nothing was found that stands in the way."}</p>`
      : html`<ul class="order-reasons">${verdict.reasons.map((one) => html`<li data-word=${one.word}><b>${one.finding}${one.where ? `, ${fractions(one.where)}` : ""}</b>
          <span class="order-word">${one.decision === "mended" ? "mended" : { refuse: "refuses the work", ask: "the owner decides", go: one.answered ? "answered" : "noted" }[one.word]}</span>
          <p>${one.why}</p>${one.answered ? html`<p>They said: ${one.answered}</p>` : null}</li>`)}</ul>`}
    ${page.refused ? html`<p class="told">Refused: ${page.refused}</p>` : null}
    ${questions.filter((one) => one.answer !== "").map((one) => html`<p class="order-said"><span class="wait">Asked ${momentText(one.at)}: ${one.question}</span> ${one.answer}</p>`)}
    ${over ? null : html`
      ${next === "refuse" ? html`<${Say} draft=${draft} name="refuse" part="refuse" label="In these words, for the owner" given=${verdict.refusal} verb="Refuse the work" next=${true}
        onSay=${(why) => write("refuse", "order-refused", { why }, without("refuse"))} />` : null}
      ${waiting.map((one) => html`<div class="order-asked-now"><p class="wait">Asked ${momentText(one.at)}: ${one.question}</p>
        <${Say} draft=${draft} name=${`answer ${one.event}`} part="answer" label="What they answered" verb="Write down the answer" next=${next === "answer"}
          onSay=${(answer) => write("answer", "answered", { question: one.event, answer }, without(`answer ${one.event}`))} /></div>`)}
      ${next === "ask" ? html`<${Say} draft=${draft} name="ask" part="ask" label="To be asked, all in one call" given=${verdict.question} verb="It is asked" next=${true}
        onSay=${(question) => write("ask", "asked", { question, about: verdict.about }, without("ask"))} />`
        : html`<details><summary>Ask the owner something</summary><${Say} draft=${draft} name="own" part="own" label="What is to be asked" verb="It is asked"
          onSay=${(question) => write("own", "asked", { question }, without("own"))} /></details>`}
      ${next === "refuse" ? null : html`<details><summary>Refuse the work</summary><${Say} draft=${draft} name="no" part="no" label="Why, in words for the owner" verb="Refuse the work"
        onSay=${(why) => write("no", "order-refused", { why }, without("no"))} /></details>`}`}
  <//>`;
}

export function Lines({ page, draft, write, next }) {
  const wanted = page.opened?.lines ?? 1;
  const finished = page.jobs.filter((job) => job.finished);
  const left = page.jobs.find((job) => !job.build && !job.finished);
  const isTaken = ["accepted", "made"].includes(page.status);
  const isLooked = page.look.every((row) => !row.open);
  const made = (job) => write(`made ${job.id}`, "line-made", { job: job.id, build: job.finished });
  if (wanted === 0 && page.jobs.length === 0) return null;
  return html`<${Part} id="lines" title="Its lines" said=${`${page.jobs.length} of ${counted(wanted, "line")} with a job. Customer and bow are filled in from here.`}>
    ${next === "take off" ? html`<p class="caution">${page.cautions.press}</p>` : null}
    <ul class="order-jobs">${page.jobs.map((job) => html`<li key=${job.id}><a href=${addressOf("line", job.id)}>${job.name}</a> <span class="wait">${job.id} · ${job.strands} strands</span>
      ${job.build ? html`<span class="order-word" data-good="yes">built</span>` : job.finished ? html`<button type="button" class=${job === finished[0] && next === "build" ? "act next" : "act"} onClick=${() => void made(job)}>It is built: write it down</button>` : isTaken ? html`<a class=${job === left && finished.length === 0 && next === "build" ? "act next" : "act"} href=${job.building ? addressOf("jig", job.building) : addressOf("line", job.id)}>${job.building ? "Go on building it" : "Build it"}</a>`
      : html`<span class="wait">to be built</span>`}</li>`)}</ul>
    ${isLooked ? null : html`<p class="wait">First the bow is looked over.</p>`}
    <div class="acts">${isLooked && page.verdict.word !== "refuse" && (page.jobs.length < wanted || next === "take off") ? html`<a class=${next === "take off" ? "act next" : "act"} href=${addressOf("new", `order-${page.id}`)}>Measure the line</a>` : null}
      ${page.jobs.length > 0 ? html`<a class=${["quote", "accept"].includes(next) ? "act next" : "act"} href=${addressOf("quote", page.id)}>${next === "accept" ? page.next.title : page.money.total.exact ? "The price" : "Price it"}</a>` : null}</div>
    ${finished.map((job) => html`<${Wrongs} draft=${draft} part=${`made ${job.id}`} />`)}
    <${OntoTheBow} page=${page} next=${next} />
  <//>`;
}

/** Lines that are built are walked onto the bow they were taken from. */
function OntoTheBow({ page, next }) {
  const [failure, setFailure] = useState(/** @type {any} */ (null));
  const built = page.jobs.filter((job) => job.build);
  if (built.length === 0 || page.bow === null) return null;
  const before = Object.fromEntries(page.figures.filter((one) => one.text).map((one) => [one.name, one.text]));
  const begin = async () => {
    setFailure(null);
    try {
      await beginFit({ lines: built.map((job) => ({ job: job.id, build: job.build })), bow: page.bow.kind, crossbow: page.bow.crossbow, order: page.id, before });
    } catch (error) { setFailure(error); }
  };
  const klass = next === "fit" ? "act next" : "act";
  return html`<${Failure} failure=${failure} /><div class="acts">${page.fit && page.fit.status !== "given up"
    ? html`<a class=${klass} href=${addressOf("fit", page.fit.id)}>${page.fit.status === "right" ? "On the bow: it is as wanted" : "Go on with the walk"}</a>`
    : page.status === "made" ? html`<button type="button" class=${klass} onClick=${() => void begin()}>Walk the lines onto the bow</button>` : null}</div>`;
}

export function Return({ page, draft, write, next }) {
  if (page.status === "closed") return html`<${Part} id="return" title="Closed"><p class="wait">Nothing more is done on this order.</p><//>`;
  const given = page.refused ? "" : "Look the bow over and read it again after 60 shots.";
  return html`<${Part} id="return" title="Back to its owner">
    ${Number(page.money.owed.exact || "0") > 0 && page.money.taken ? html`<p class="caution">Still owed: <b class="value">${page.money.owed.text}</b></p>` : null}
    ${page.status === "handed over" ? html`<div class="acts"><button type="button" class=${next === "close" ? "act next" : "act"} onClick=${() => void write("close", "order-closed", {})}>Close the order</button></div>`
      : next === "hand over" ? html`<${Say} draft=${draft} name="hand" part="hand" label="What they are told to watch" given=${given || "Do not draw or string it as it is."} verb=${page.next.title} next=${true}
        onSay=${(said) => write("hand", "handed-over", { said }, without("hand"))} />`
      : html`<details><summary>They take it back before it is done</summary><${Say} draft=${draft} name="back" part="hand" label="What they are told to watch" verb="Hand it over"
        onSay=${(said) => write("hand", "handed-over", { said }, without("back"))} /></details>`}
    <${Wrongs} draft=${draft} part="close" /><//>`;
}

const SAID = {
  "order-opened": () => "the order was opened", "bow-looked-at": (body) => lookSaid(body), asked: (body) => `asked: ${body.question}`, answered: (body) => `answered: ${body.answer}`,
  "order-refused": (body) => `refused: ${body.why}`, "job-added": (body) => `line ${body.job}`, quoted: () => "a price was told", "quote-accepted": () => "they took the price",
  paid: (body) => `paid ${body.amount}`, "line-made": (body) => `${body.job} was built`, "handed-over": () => "handed over", "remake-opened": (body) => `${body.job} is made again: ${body.cause}`, "order-closed": () => "closed", noted: (body) => body.text,
};

function lookSaid({ sound = [], findings = [], baseline, bow, photos = [] }) {
  return [sound.length > 0 ? `${sound.length} found sound` : "", ...findings.map((one) => `${one.finding}${one.where ? `, ${one.where}` : ""}: ${one.decision ?? "ask"}`),
    baseline ? "measured as it came" : "", bow ? "the bow told anew" : "", photos.length > 0 ? counted(photos.length, "picture") : ""].filter(Boolean).join("; ");
}

/** Everything that happened, newest first; a slip is taken back, never written over. */
export function Happened({ page, write }) {
  const [log, setLog] = useState(/** @type {any[]|null} */ (null));
  const fetchLog = async () => setLog((await get(`/api/orders/${page.id}/log.json`)).events);
  const gone = new Set((log ?? []).filter(({ event }) => event.type === "withdrawn").map(({ event }) => event.body.event));
  const back = async (event) => { if (await write(`back ${event.id}`, "withdrawn", { event: event.id, why: "a slip" })) await fetchLog(); };
  return html`<details class="order-part" onToggle=${(e) => { if (e.currentTarget.open) void fetchLog(); }}><summary>Everything that happened</summary>
    <ol class="order-log">${(log ?? []).filter(({ event }) => event.type !== "withdrawn").reverse().map(({ event }) => html`<li key=${event.id} data-back=${gone.has(event.id) ? "yes" : null}>
      <span class="wait">${momentText(event.at)}</span><span>${fractions((SAID[event.type] ?? (() => event.type))(event.body))}</span>
      ${gone.has(event.id) ? html`<span class="wait">taken back</span>` : event.type === "order-opened" ? html`<span></span>` : event.type === "quote-accepted" ? html`<a class="plain small" href=${addressOf("quote", page.id)}>Take back</a>` : html`<button type="button" class="plain small" onClick=${() => void back(event)}>Take back</button>`}</li>`)}</ol></details>`;
}
