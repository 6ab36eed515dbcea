/** The fork of a cable: whether its far end parts in two legs, and how; keyed in place. */
import { html } from "../lib/dom.js";
import { numberOrText } from "../models/steps.js";
import { Keyed, Wrong } from "./keyed.js";

/** @typedef {import("../models/line_model.js").LineModel} LineModel */

const WAYS = [{ name: "halves", label: "legs of half the strands" }, { name: "strap", label: "a strap in its eye" }];
/** A first leg and throat, to be keyed over: where they lie is measured on the old cable. */
const LEG = { in: "8 in", mm: "200 mm" };
const THROAT = { in: ["9 1/2 in", "8 in"], mm: ["240 mm", "200 mm"] };

/** @param {{model: LineModel}} props */
export function Yoke({ model }) {
  const { line, paper = {} } = model.job.value;
  if (line.kind !== "cable") return null;
  const yoke = line.yoke ?? null;
  const wrong = model.wrong.value["line.yoke"];
  if (yoke === null) {
    return html`<section class="yoke"><h2>Yoke</h2>
      <p class="wait small">One line to its far end. Where the old cable parts in two legs to an axle, part this one too.</p>
      <p class="acts"><button type="button" class="plain small" onClick=${() => model.change(parted(line, paper.units ?? "in"))}>Part its far end in two legs</button></p>
      ${wrong ? html`<p role="alert"><${Wrong} wrong=${wrong} /></p>` : null}</section>`;
  }
  const strap = yoke.made === "strap";
  return html`<section class="yoke"><h2>Yoke</h2>
    <p class="said-row"><select class="keyed" aria-label="how the yoke is made" data-field="line.yoke.made" value=${yoke.made ?? "halves"}
      onChange=${(e) => model.change(made(line, e.currentTarget.value))}>
      ${WAYS.map((one) => html`<option value=${one.name} selected=${one.name === (yoke.made ?? "halves")}>${one.label}</option>`)}</select></p>
    <p class="said-row"><span class="wait">leg</span>
      <${Keyed} model=${model} field="line.yoke.leg" value=${yoke.leg} label="leg" /><span class="wait small">${strap ? "from the strap's middle to a pin" : "from where they part to a pin"}</span></p>
    <p class="said-row"><span class="wait">turns in each</span>
      <${Keyed} model=${model} field="line.yoke.turns" value=${yoke.turns ?? ""} label="turns in each leg" read=${numberOrText} empty=${usual(model)} />${yoke.turns === undefined || yoke.turns === null ? html`<span class="wait small">the usual</span>` : null}</p>
    <p class="said-row"><span class="wait">span</span>
      <${Keyed} model=${model} field="line.yoke.span" value=${yoke.span ?? ""} label="span of the axle" empty="not measured" /><span class="wait small">between both loops on the axle</span></p>
    ${strap ? html`<p class="said-row"><span class="wait">strap</span>
      <${Keyed} model=${model} field="line.yoke.strap.strands" value=${yoke.strap?.strands ?? ""} label="strands of the strap" read=${numberOrText} empty="half of the cable's" /><span>strands</span></p>` : null}
    <p class="acts"><button type="button" class="plain small" onClick=${() => model.change(joined(line))}>Make it one line again</button></p>
    ${wrong ? html`<p role="alert"><${Wrong} wrong=${wrong} /></p>` : null}</section>`;
}

/** What the plan gives each leg where nothing is keyed. */
const usual = (/** @type {LineModel} */ model) => {
  const [leg] = model.view.value?.plan.yoke?.legs ?? [];
  return leg ? String(leg.turns) : "–";
};

/** A fork and the serving that ties it, measured from the far end. */
function parted(line, units) {
  const [start, stop] = THROAT[units];
  const servings = line.servings ?? [];
  const thread = servings[0]?.thread ?? line.far_end.thread ?? "braid-018";
  const throat = { name: "throat", use: "throat", thread, start, stop, from_far_end: true };
  return [{ field: "line.yoke", value: { leg: LEG[units] } }, { field: `line.servings[${servings.length + 1}]`, value: throat }];
}

/** Legs of half the strands have a throat that is served; a strap has none. */
function made(line, way) {
  const servings = line.servings ?? [];
  const place = servings.findIndex((one) => (way === "strap" ? one.use === "throat" : one.name === "throat"));
  const told = [{ field: "line.yoke.made", value: way }];
  if (place < 0) return told;
  return [...told, { field: `line.servings[${place + 1}].use`, value: way === "strap" ? "free" : "throat" }];
}

/** Without the fork its throat is a serving like another. */
function joined(line) {
  const place = (line.servings ?? []).findIndex((one) => one.use === "throat");
  const free = place < 0 ? [] : [{ field: `line.servings[${place + 1}].use`, value: "free" }];
  return [{ field: "line.yoke", value: null }, ...free];
}
