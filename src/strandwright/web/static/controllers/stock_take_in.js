/** Taking in a spool, or small parts, by what the label says. */
import { useEffect, useMemo } from "preact/hooks";
import { html } from "../lib/dom.js";
import { addressOf } from "../lib/route.js";
import { useFetched } from "../models/fetched.js";
import { announce } from "../models/shell.js";
import { asksOf, bodyOf, StockDraft } from "../models/stock_draft.js";
import { Field } from "./parts.js";
import { Asks, Refused } from "./stock_spool.js";

const KINDS = [["strand", "Strand, by the spool"], ["thread", "Serving thread, by the spool"], ["part", "Small parts, by the piece"]];
const OTHER = "other";

export function TakeIn() {
  const choices = useFetched("/api/choices").value.value;
  const draft = useMemo(() => new StockDraft(""), []);
  const typed = draft.typed.value;
  const kind = typed.kind ?? "strand";
  const names = kind === "part" || !choices ? [] : choices[kind === "strand" ? "strands" : "threads"];
  const asks = asksOf(kind);
  useEffect(() => { document.getElementById("stock-ware-kind")?.focus({ preventScroll: true }); }, []);
  const send = async (/** @type {Event} */ event) => {
    event.preventDefault();
    const body = { ware: wareOf(kind, typed, names), ...bodyOf(asks, typed) };
    const answer = await draft.send("stock-received", body);
    if (answer) { announce(`Taken in: ${answer.label}, ${answer.left_text}.`); location.hash = addressOf("stock", answer.id); } else announce(`Not written. ${draft.failure.value?.message ?? ""}`);
  };
  return html`<section class="page stock-page"><header><h1>Take in a spool or parts</h1></header>
    <form class="stock-form stock-take-in" onSubmit=${send} novalidate aria-label="Take in a spool or parts">
      <div class="stock-fields">
        <${Field} label="What is it" id="stock-ware-kind"><select id="stock-ware-kind" onChange=${(e) => draft.put("kind", e.currentTarget.value)}>
          ${KINDS.map(([value, text]) => html`<option value=${value} selected=${value === kind}>${text}</option>`)}</select><//>
        ${kind === "part" ? null : html`<${Named} draft=${draft} names=${names} />`}
        ${kind === "part" || typed.name === OTHER ? html`<${Own} draft=${draft} kind=${kind} />` : null}
        ${kind === "part" ? html`<${Field} label="Size, where sizes differ" id="stock-size" wrong=${draft.wrongAt("size")}>
            <input id="stock-size" autocomplete="off" placeholder="such as 3⁄16 in" value=${typed.size ?? ""} onInput=${(e) => draft.put("size", e.currentTarget.value)} /><//>`
          : html`<${Field} label="Colour" id="stock-colour" wrong=${draft.wrongAt("colour")}>
            <input id="stock-colour" type="color" value=${typed.colour ?? "#2F6B57"} onInput=${(e) => draft.put("colour", e.currentTarget.value.toUpperCase())} /><//>`}
      </div>
      <${Asks} asks=${asks} draft=${draft} />
      ${kind === "part" ? null : html`<label class="stock-tick"><input type="checkbox" checked=${Boolean(typed.opened)} onChange=${(e) => draft.put("opened", e.currentTarget.checked)} />
        <span>It is begun already; say above what is still on it, with its ±</span></label>`}
      <${Refused} draft=${draft} names=${["name", "size", "colour", ...asks.map((ask) => ask.name)]} />
      <div class="acts"><button class="act next" disabled=${draft.busy.value || (kind !== "part" && !choices)}>${draft.busy.value ? "Writing…" : "Take it in"}</button>
        <a class="plain" href=${addressOf("stock")}>All stock</a></div>
    </form></section>`;
}

function Named({ draft, names }) {
  const value = draft.typed.value.name ?? names[0]?.name ?? "";
  return html`<${Field} label="Which" id="stock-name" wrong=${draft.typed.value.name === OTHER ? undefined : draft.wrongAt("name")}><select id="stock-name" onChange=${(e) => draft.put("name", e.currentTarget.value)}>
    ${names.map((one) => html`<option value=${one.name} selected=${one.name === value}>${one.label}</option>`)}
    <option value=${OTHER} selected=${value === OTHER}>another, by its own name</option></select><//>`;
}

function Own({ draft, kind }) {
  return html`<${Field} label="Its name" id="stock-own" wrong=${draft.wrongAt("name")} hint=${kind === "part" ? "" : "as jobs name it; give length and mass then"}>
    <input id="stock-own" autocomplete="off" placeholder=${kind === "part" ? "such as peep" : ""} value=${draft.typed.value.own ?? ""} onInput=${(e) => draft.put("own", e.currentTarget.value)} /><//>`;
}

/** What it is, as it was chosen. @param {string} kind @param {Record<string, any>} typed @param {{name: string}[]} names */
function wareOf(kind, typed, names) {
  if (kind === "part") return { kind, name: (typed.own ?? "").trim(), ...(typed.size?.trim() ? { size: typed.size.trim() } : {}) };
  const known = names.some((one) => one.name === typed.name) ? typed.name : names[0].name;
  return { kind, name: typed.name === OTHER ? (typed.own ?? "").trim() : known, colour: typed.colour ?? "#2F6B57" };
}
