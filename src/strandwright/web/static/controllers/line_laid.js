/** A string laid in by hand: whether it is, in how many bundles, and how; keyed in place. */
import { html } from "../lib/dom.js";
import { numberOrText } from "../models/steps.js";
import { Chosen, Keyed, Wrong } from "./keyed.js";

/** @typedef {import("../models/line_model.js").LineModel} LineModel */

const BUNDLES = [{ name: 2, label: "two bundles" }, { name: 3, label: "three bundles" }];
const BOARDS = [{ name: "stepped", label: "a stepped board" }, { name: "two nails", label: "two nails" }];

/** @param {{model: LineModel}} props */
export function LaidIn({ model }) {
  const { line } = model.job.value;
  if (line.kind === "cable" || line.yoke) return null;
  const laid = line.laid ?? null;
  const wrong = model.wrong.value["line.laid"];
  const refused = wrong ? html`<p role="alert"><${Wrong} wrong=${wrong} /></p>` : null;
  if (laid === null) {
    return html`<section class="laid"><h2>How it is made</h2>
      <p class="wait small">Wound as one endless line. Where the old string was laid of bundles by hand, lay this one in too.</p>
      <p class="acts"><button type="button" class="plain small" onClick=${() => model.change(laying(line))}>Lay it in by hand</button></p>${refused}</section>`;
  }
  return html`<section class="laid"><h2>Laid in by hand</h2>
    <p class="said-row"><${Chosen} model=${model} field="line.laid.bundles" value=${laid.bundles ?? 2} label="bundles" options=${BUNDLES} read=${Number} />
      <span class="wait">cut on</span><${Chosen} model=${model} field="line.laid.board" value=${laid.board ?? "stepped"} label="what strands are cut on" options=${BOARDS} /></p>
    <p class="said-row"><span class="wait">married</span>
      <${Keyed} model=${model} field="line.laid.married" value=${laid.married ?? ""} label="length of a married part" empty="the usual" /><span class="wait small">at either end</span></p>
    <p class="said-row"><span class="wait">strands end</span>
      <${Keyed} model=${model} field="line.laid.step" value=${laid.step ?? ""} label="step from strand to strand" empty="the usual" /><span class="wait small">one after the other</span></p>
    <p class="said-row"><span class="wait">laid at</span>
      <${Keyed} model=${model} field="line.laid.angle" value=${laid.angle ?? ""} label="angle of the bundles" read=${degrees} empty="the usual" /><span class="wait small">degrees to the axis, in loop and married part</span></p>
    <p class="acts"><button type="button" class="plain small" onClick=${() => model.change([{ field: "line.laid", value: null }])}>Wind it instead</button></p>${refused}</section>`;
}

/** A laid loop has no serving round it to begin with. */
const laying = (line) => [
  { field: "line.laid", value: { bundles: 2 } },
  ...["zero_end", "far_end"].filter((end) => line[end].thread).map((end) => ({ field: `line.${end}.thread`, value: null })),
];

/** @param {string} typed @returns {number|string|null} what is no number is left for the program to refuse */
const degrees = (typed) => numberOrText(typed.replace(/\s*(°|deg|degrees)$/, ""));
