/** A new line from its start-stop shorthand. */
import { useEffect, useState } from "preact/hooks";
import { counted, fractions, html } from "../lib/dom.js";
import { get, post, put } from "../lib/api.js";
import { newId, nowText } from "../lib/ids.js";
import { addressOf } from "../lib/route.js";
import { Draft, windowStorage } from "../models/draft.js";
import { useFetched } from "../models/fetched.js";
import { asBench, asRequest, FRESH, idOf, isBent, isCrossbow, isStrapped, placed, strandsOf, suggestedId } from "../models/new_line_draft.js";
import { alongInWords, keyOf, labelOf, ofOrder, taken } from "../models/known_bow.js";
import { announce, setWaiting } from "../models/shell.js";
import { useChoices } from "./choices.js";
import { BenchPart } from "./new_line_bench.js";
import { Failure, Field } from "./parts.js";

const draft = new Draft("new-line", FRESH, windowStorage());
/** What stands before an order's identity where the address names one. */
const OF_ORDER = "order-";

const KINDS = [{ name: "string", label: "string" }, { name: "laid", label: "string, laid in by hand" }, { name: "cable", label: "cable" }, { name: "yoke", label: "cable with a split yoke" }];
const SUCH = {
  string: "57 1/4: 0-17, 20 1/2-22 1/4, 26 3/4-30 1/2, 17-0", crossbow: "33 3/8: 0-5, 5-0", laid: "64 1/4: 29-36",
  cable: "36 7/8: 0-9 1/2, 15 1/4-21 3/4, 6-0", yoke: "35 1/2: 0-9 1/4, 14 3/4-20 1/2, 25 3/8-26 7/8, 3 3/4-0",
};
const BUNDLES = [{ name: "2", label: "two bundles" }, { name: "3", label: "three bundles" }];
const YOKES = [{ name: "halves", label: "legs of half the strands" }, { name: "strap", label: "a strap in its eye" }];

/** @param {{id: string}} props of the job whose bow the line is for; empty for any */
export function Screen({ id }) {
  const choices = useChoices();
  const fetched = useFetched("/api/benches");
  const known = useFetched("/api/bows").value.value?.known;
  const [failure, setFailure] = useState(/** @type {any} */ (null));
  const [busy, setBusy] = useState(false);
  const line = draft.value.value;
  const benches = fetched.value.value?.benches.filter((one) => !one.put_away) ?? [];
  const bench = benches.find((one) => one.id === line.bench)?.id ?? (line.bench === "new" ? "new" : benches[0]?.id ?? "new");
  const { at, elsewhere } = placed(failure?.errors ?? [], bench === "new");
  // Where one part of a longer text is refused, that part is named.
  for (const [field, wrong] of Object.entries(at)) {
    const { given } = wrong;
    if (typeof given === "string" && given !== "" && typeof line[field] === "string" && line[field].trim() !== given) at[field] = { ...wrong, rule: `${given}: ${wrong.rule}` };
  }
  useEffect(() => {
    const [field] = Object.keys(at);
    if (field) document.getElementById(`new-${field}`)?.focus();
  }, [failure]);

  useEffect(() => {
    if (id === "" || id.startsWith(OF_ORDER) || !known || !fetched.value.value) return;
    const one = known.find((bow) => bow.jobs.includes(id));
    const on = benches.find((each) => each.jobs.includes(id));
    // A further reload finds what was typed since, not the bow anew.
    history.replaceState(null, "", addressOf("new"));
    if (one && keyOf(one) !== line.bowFrom) draft.set(taken(line, keyOf(one), one));
    if (on) draft.set({ bench: on.id });
  }, [id, known, fetched.value.value]);

  useEffect(() => {
    if (!id.startsWith(OF_ORDER)) return;
    const order = id.slice(OF_ORDER.length);
    get(`/api/orders/${encodeURIComponent(order)}`).then((page) => {
      history.replaceState(null, "", addressOf("new"));
      if (draft.value.value.order?.id !== page.id) draft.set(ofOrder(draft.value.value, page, { event: newId(), at: nowText() }));
    }, setFailure);
  }, [id]);

  const make = async (/** @type {Event} */ event) => {
    event.preventDefault();
    setBusy(true); setFailure(null); setWaiting("new", 1);
    try {
      let on = bench;
      if (bench === "new") {
        // Kept once and the line refused, it is kept again with what was mended in it.
        const id = idOf(line.benchName) || "BENCH";
        const revision = line.benchKept?.id === id ? line.benchKept.revision : 0;
        const kept = await put(`/api/benches/${encodeURIComponent(id)}`, { revision, bench: asBench(line) });
        on = kept.id;
        draft.set({ bench: "new", benchKept: { id, revision: kept.revision } });
      }
      const { order } = line;
      const made = order ? await post(`/api/orders/${order.id}/jobs`, { event: order.event, at: order.at, by: "counter", line: asRequest(line, on) })
        : await post("/api/jobs/from-shorthand", asRequest(line, on));
      draft.forget();
      location.hash = addressOf("line", made.id);
    } catch (error) {
      setFailure(error);
      announce(`Not made. ${error.message}`);
    } finally { setBusy(false); setWaiting("new", 0); }
  };
  const text = (/** @type {string} */ field, label, more = {}) => html`<${Field} label=${label} id=${`new-${field}`} wrong=${at[field]} hint=${more.hint} wide=${more.wide}>
    <input id=${`new-${field}`} class=${more.wide ? "big" : ""} value=${line[field] ?? ""} placeholder=${more.such ?? ""} autocomplete="off" spellcheck=${false} aria-invalid=${at[field] ? "true" : null}
      aria-describedby=${[at[field] ? `new-${field}-wrong` : "", more.hint ? `new-${field}-hint` : ""].join(" ").trim() || null} onInput=${(e) => draft.set({ [field]: e.currentTarget.value })} /><//>`;
  const pick = (/** @type {string} */ field, label, options, none = "choose") => html`<${Field} label=${label} id=${`new-${field}`} wrong=${at[field]}>
    <select id=${`new-${field}`} aria-invalid=${at[field] ? "true" : null} onChange=${(e) => draft.set({ [field]: e.currentTarget.value })}>
      ${none === null ? null : html`<option value="" selected=${line[field] === ""}>${none}</option>`}
      ${options.map((one) => html`<option value=${one.name ?? one} selected=${line[field] === (one.name ?? one)}>${one.label ?? one}</option>`)}</select><//>`;

  return html`<section class="page"><header class="page-head"><h1>New line</h1><a class="plain" href="#/">Leave it for now; what is typed stays</a></header>
    <form class="new-line" onSubmit=${make} novalidate>
      ${failure && (elsewhere.length > 0 || failure.errors?.length === 0 || !failure.errors) ? html`<${Failure} failure=${{ message: elsewhere.length > 0 ? "This stands in the way of the line:" : failure.message, errors: elsewhere }} />` : null}
      ${line.order ? html`<p class="of-order">A line of order <a href=${addressOf("order", line.order.id)}>${line.order.number}</a>, ${line.order.name}.
        <button type="button" class="plain" onClick=${() => draft.set({ order: null })}>No, of none</button>
        ${alongInWords(line).length > 0 ? html`<span class="small wait">With its bow come along: ${fractions(alongInWords(line).join(", "))}.</span>` : null}</p>` : null}
      <fieldset><legend>The worn line, as read from its zero end</legend>
        ${text("shorthand", "shorthand: overall length, then where each serving starts and stops", { wide: true, such: `such as ${SUCH[isCrossbow(line) ? "crossbow" : line.kind] ?? SUCH.string}`,
          hint: `A pair whose start is the larger is measured from the far end. Fractions, decimals or mm.${isBent(line) ? " Without a string to copy leave it out, and give the bow’s length." : ""}` })}
        <div class="fields">
          ${pick("kind", "what it is", KINDS, null)}
          ${line.kind !== "laid" ? null : pick("bundles", "laid of", BUNDLES, null)}
          ${line.kind !== "yoke" ? null : html`
            ${pick("made", "how the yoke is made", YOKES, null)}
            ${text("leg", "leg, to the outside of its pin", { such: "such as 8 in",
              hint: isStrapped(line) ? "From the strap’s middle. The shorthand is of the cable alone, with the eye that the strap hangs in." : "From where the legs part: a serving of the shorthand stops there, and becomes the throat." })}
            ${text("span", "span of the legs on the axle", { such: "such as 2 1/2 in", hint: "between the middles of their loops" })}`}
          ${text("loop", "loop size, inside length laid flat", { such: isBent(line) ? "such as 2 3/4 in" : "such as 7/8 in" })}
          ${text("tolerance", "lands within, either way", { such: "such as 1/16 in" })}
          ${text("name", "name of the job", { such: `${["cable", "yoke"].includes(line.kind) ? "Cable" : "String"} for the ${line.bowName || "bow"}` })}
          ${text("customer", "customer", { such: "nobody yet" })}
          ${text("id", "id of the job", { such: suggestedId(line) || "RIDGE-1", hint: "letters, digits, dots and dashes" })}
        </div></fieldset>
      <fieldset><legend>The bow</legend>
        <${KnownBows} line=${line} known=${known ?? []} />
        <div class="fields">
        ${pick("bowKind", "kind", choices.bow_kinds)}
        ${text("bowName", "name", { such: "such as ridge bow" })}
        ${text("drawWeight", "draw weight", { such: "such as 60 lbf" })}
        ${isBent(line) ? html`
          ${text("bowLength", "length of the bow", { such: "such as 66 in" })}
          ${text("braceHeight", "brace height before", { such: "such as 8 3/8 in" })}
          ${text("braceWanted", "brace height wanted", { such: "as before" })}
          ${text("drawLength", "draw length", { such: "such as 28 in" })}
          ${text("nockHeight", "nocking point over the grip", { such: "such as 1/2 in" })}` : null}
        ${isCrossbow(line) ? html`
          ${pick("crossbow", "which crossbow", [{ name: "recurve", label: "limbs alone" }, { name: "compound", label: "with wheels" }])}
          ${text("rail", "width of its rail", { such: "such as 1 1/8 in" })}
          ${text("reinforced", "strands laid in at each loop", { such: "none", hint: "An even number; half of the line’s was found to move the break from the loops to the middle. A centre serving left out of the shorthand is placed about the middle." })}` : null}
      </div></fieldset>
      <fieldset><legend>Make-up</legend><div class="fields">
        ${pick("strand", "strand", choices.strands)}
        ${pick("thread", "thread of the servings", choices.threads)}
        ${pick("centreThread", "thread of the centre", choices.threads, "the same")}
        ${text("twist", "twist", { such: "the usual for this kind" })}
      </div><${Colours} line=${line} wrong=${at.colours} /></fieldset>
      <${BenchPart} benches=${benches} bench=${bench} said=${fetched.said.value} draft=${draft} text=${text} pick=${pick} choices=${choices} at=${at} />
      <div class="acts"><button class="act next" disabled=${busy}>${busy ? "Working it out…" : "Make the line"}</button></div>
    </form></section>`;
}

/** Bows of earlier jobs and of the shelf: one of them fills in the fields below. */
function KnownBows({ line, known }) {
  if (known.length === 0) return null;
  const more = alongInWords(line);
  const take = (/** @type {string} */ key) => draft.set(taken(line, key, known.find((one) => keyOf(one) === key)));
  return html`<div class="bow-choice"><${Field} label="a bow that was here before" id="new-bowFrom" hint="Choosing one fills in what is known of it; everything can be changed.">
    <select id="new-bowFrom" aria-describedby="new-bowFrom-hint" onChange=${(e) => take(e.currentTarget.value)}>
      <option value="" selected=${line.bowFrom === ""}>none, as typed here</option>
      ${known.map((one) => html`<option value=${keyOf(one)} selected=${line.bowFrom === keyOf(one)}>${labelOf(one)}</option>`)}</select><//>
    ${more.length > 0 ? html`<p class="small wait">With it come along: ${fractions(more.join(", "))}.</p>` : null}</div>`;
}

/** Colours with their strands; they add up to the strand count. */
function Colours({ line, wrong }) {
  const set = (/** @type {number} */ k, typed) => draft.set({ colours: line.colours.map((one, n) => (n === k ? { ...one, ...typed } : one)) });
  const sum = strandsOf(line.colours);
  const place = /colours\[(\d+)\]/.exec(wrong?.field ?? "")?.[1];
  return html`<div class="colour-rows" id="new-colours" tabindex="-1">
    ${line.colours.map((one, k) => html`<div class="colour-row" data-wrong=${wrong && (place === undefined || Number(place) === k + 1) ? "yes" : null}>
      <input type="color" class="swatch" aria-label=${`colour ${k + 1}`} value=${one.colour} onInput=${(e) => set(k, { colour: e.currentTarget.value.toUpperCase() })} />
      <input aria-label=${`name of colour ${k + 1}`} value=${one.name} onInput=${(e) => set(k, { name: e.currentTarget.value })} />
      <input aria-label=${`strands of colour ${k + 1}`} inputmode="numeric" value=${one.strands} onInput=${(e) => set(k, { strands: e.currentTarget.value })} />
      ${line.colours.length > 1 ? html`<button type="button" class="plain small" onClick=${() => draft.set({ colours: line.colours.filter((_, n) => n !== k) })}>take out</button>` : html`<span class="wait">strands</span>`}</div>`)}
    <p class="strand-sum">${sum === null ? html`<span class="wait">Strands are whole numbers.</span>` : html`${counted(sum, "strand")} <span class="wait">in all; ${line.kind === "laid" ? "cut one by one, and shared out over the bundles" : "one round of winding lays two"}</span>`}
      <button type="button" class="plain small" onClick=${() => draft.set({ colours: [...line.colours, { name: `colour ${line.colours.length + 1}`, colour: "#E3D3A5", strands: "12" }] })}>Add a colour</button></p>
    ${wrong ? html`<span class="wrong" role="alert">${wrong.rule}; <b>${wrong.remedy}</b></span>` : null}</div>`;
}
