/** One order as a walk down the page: who, which bow, look it over, as it came, what follows, its lines. */
import { useEffect, useMemo, useState } from "preact/hooks";
import { get } from "../lib/api.js";
import { counted, fractions, html } from "../lib/dom.js";
import { addressOf } from "../lib/route.js";
import { useFetched } from "../models/fetched.js";
import { OrderDraft, units } from "../models/order_draft.js";
import { recall } from "../models/photos.js";
import { answering, announce } from "../models/shell.js";
import { Intake } from "./order_intake.js";
import { Figures } from "./order_figures.js";
import { LookOver } from "./order_look.js";
import { CameBack } from "./order_remake.js";
import { Payments } from "./order_money.js";
import { Happened, Lines, Owner, Return } from "./order_talk.js";
import { Who } from "./order_who.js";
import { Failure, WhenFetched } from "./parts.js";

/** @param {{id: string}} props */
export function Screen({ id }) {
  return id === "new" ? html`<${Intake} />` : html`<${Order} id=${id} />`;
}

/** The part of the page that the next act is done in. */
const PLACES = {
  look: "look", photo: "as-it-came", "measure bow": "as-it-came", ask: "owner", answer: "owner", refuse: "owner",
  "take off": "lines", quote: "lines", accept: "lines", build: "lines", fit: "lines", "hand over": "return", close: "return",
};
/** What is done on the price's own page. */
const PRICED = ["quote", "accept"];
const WORDS = { go: "may go on", ask: "waits for the owner", refuse: "may not go on" };

function Order({ id }) {
  const fetched = useFetched(`/api/orders/${encodeURIComponent(id)}`);
  return html`<section class="page order-page"><${WhenFetched} fetched=${fetched} what="The order">${(page) => html`
    <${Walk} key=${page.id} page=${page} onPage=${(answer) => { fetched.value.value = answer; }} />`}<//></section>`;
}

function Walk({ page, onPage }) {
  const draft = useMemo(() => new OrderDraft(page.id), [page.id]);
  const [failure, setFailure] = useState(/** @type {any} */ (null));
  useEffect(() => {
    void recall([...draft.typed.value.photos, ...Object.values(draft.typed.value.look).flatMap((one) => one.photos ?? [])]);
  }, [draft]);
  /** Write an event down and show what follows. */
  const write = async (part, type, body, written) => {
    const answer = await draft.write(part, type, body, units.value, written);
    if (answer) { onPage(answer); announce(answer.next.said); }
    return answer;
  };
  const trying = async (/** @type {() => Promise<any>} */ work) => {
    setFailure(null);
    try { return await work(); } catch (error) { setFailure(error); announce(error.message); return null; }
  };
  const { look, figures, photos, braced } = draft.typed.value;
  // What is typed and not written down comes first: one act calls at a time.
  const isMeasured = Object.values(figures).some((text) => text.trim() !== "") || photos.length > 0 || braced !== null;
  const next = Object.keys(look).length > 0 ? "look" : isMeasured ? "measure bow" : page.next.key;
  const shared = { page, draft, write, trying, next };
  const part = draft.failure.value?.part;
  return html`<${Head} page=${page} />
    <${Failure} failure=${failure} onSeen=${() => setFailure(null)} />
    ${part && answering.value === false ? html`<p class="wait" role="status">What you wrote waits here and is sent when you press once more.</p>` : null}
    <${Who} ...${shared} />
    <${LookOver} ...${shared} />
    <${Figures} ...${shared} />
    <${Owner} ...${shared} />
    <${Lines} ...${shared} />
    ${page.money.taken || page.paid.length > 0 ? html`<${Payments} money=${page.money} paid=${page.paid} draft=${draft} write=${write} />` : null}
    <${Return} ...${shared} />
    <${CameBack} page=${page} again=${async () => onPage(await get(`/api/orders/${page.id}`))} />
    <${Happened} page=${page} write=${write} />`;
}

function Head({ page }) {
  const place = PLACES[page.next.key];
  const go = (/** @type {Event} */ event) => {
    event.preventDefault();
    const there = document.getElementById(place);
    there?.scrollIntoView({ block: "start" });
    there?.querySelector("h2")?.focus({ preventScroll: true });
  };
  return html`<header class="order-head" data-word=${page.verdict.word}>
    <p class="wait"><a href=${addressOf("orders")}>At the counter</a> · came ${page.opened_at.slice(0, 10)}${page.opened?.wished_by ? ` · wished for by ${page.opened.wished_by}` : ""}</p>
    <div class="order-title"><h1><span class="order-number">${page.number}</span> ${page.customer?.name ?? "nobody"}</h1>
      <a class="act" href=${`/api/orders/${page.id}/label.pdf`} target="_blank" rel="noopener">Print the label</a></div>
    <p class="order-next" role="status">${fractions(page.next.said)} ${PRICED.includes(page.next.key) ? html`<a class="plain" href=${addressOf("quote", page.id)}>${page.next.title}</a>`
      : place ? html`<a class="plain" href=${`#${place}`} onClick=${go}>${page.next.title}</a>` : null}</p>
    <p class="wait">${page.look.some((row) => row.open) && page.verdict.word === "go" ? "" : page.refused ? "The work is refused. " : `The work ${WORDS[page.verdict.word]}. `}${page.missing.filter((one) => !one.needed).length > 0
      ? `Good to know still: ${counted(page.missing.filter((one) => !one.needed).length, "thing")}.` : ""}</p>
  </header>`;
}
