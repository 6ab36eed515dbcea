/** Make-up and ends: colours with their strands, twist, loops. */
import { fractions, html, Value } from "../lib/dom.js";
import { halvesText } from "../models/jig.js";
import { numberOrText } from "../models/steps.js";
import { Chosen, Coloured, Keyed, Wrong } from "./keyed.js";
import { asOptions } from "./choices.js";

/** @typedef {import("../models/line_model.js").LineModel} LineModel */

const PATTERNS = asOptions(["halves", "thirds", "pinstripe", "free"]);
const HANDS = [{ name: "Z", label: "Z, rising to the right" }, { name: "S", label: "S, rising to the left" }];
const FRACTIONS = [8, 16, 32, 64].map((n) => ({ name: n, label: `1/${n} in` }));
const UNITS = [{ name: "in", label: "inches, lbf, grains" }, { name: "mm", label: "millimetres, newtons, grams" }];

/** @param {{model: LineModel, choices: any}} props */
export function MakeUp({ model, choices }) {
  const { makeup, paper = {} } = model.job.value;
  const twist = model.view.value?.plan.twist;
  const colours = makeup.colours ?? [];
  return html`<section class="makeup"><h2>Make-up</h2>
    <p class="said-row"><${Chosen} model=${model} field="makeup.strand" value=${makeup.strand} label="strand" options=${choices.strands} />
      <span>${makeup.strands} strands</span></p>
    <${Cord} colours=${colours} />
    <ul class="colours">${colours.map((one, k) => html`<${Colour} key=${k} model=${model} colour=${one} place=${k + 1} last=${colours.length === 1} />`)}</ul>
    <div class="acts"><button type="button" class="plain small" onClick=${() => addColour(model, colours, makeup)}>Add a colour</button>
      ${colours.length > 1 ? html`<label class="inline"><span class="wait small">lie as </span><${Chosen} model=${model} field="makeup.pattern" value=${makeup.pattern ?? "free"} label="pattern of the colours" options=${PATTERNS} /></label>` : null}</div>
    <${Refusals} model=${model} fields=${["makeup.colours", ...colours.map((_, k) => `makeup.colours[${k + 1}]`)]} />
    <p class="said-row"><span class="wait">twist</span>
      ${makeup.turns !== undefined && makeup.turns !== null
        ? html`<${Keyed} model=${model} field="makeup.turns" value=${makeup.turns} label="turns" read=${numberOrText} /><span>turns</span>`
        : html`<${Keyed} model=${model} field="makeup.twist" value=${makeup.twist ?? ""} label="twist" empty=${twist?.rate_text ?? "0.5 per in"} />`}
      <${Chosen} model=${model} field="makeup.hand" value=${makeup.hand ?? "Z"} label="hand of twist" options=${HANDS} /></p>
    ${twist ? html`<p class="small wait">${halvesText(Math.round(2 * twist.turns))} turns, somewhere from ${Math.ceil(twist.turns_low)} to ${Math.floor(twist.turns_high)} once read; one turn more: <${Value} text=${twist.next_turn_text} /></p>` : null}
    <p class="said-row"><span class="wait">written in</span>
      <${Chosen} model=${model} field="paper.units" value=${paper.units ?? "in"} label="units" options=${UNITS} />
      ${(paper.units ?? "in") === "in" ? html`<${Chosen} model=${model} field="paper.fraction" value=${paper.fraction ?? 16} label="finest fraction" options=${FRACTIONS} read=${Number} />` : null}</p>
  </section>`;
}

/** The strands in their colours, side by side, with their counts. */
export function Cord({ colours }) {
  return html`<div class="cord" aria-hidden="true">${colours.map((one) => html`<span style=${{ background: speckled(one), flexGrow: one.strands }}></span>`)}</div>`;
}

/** A yarn's colour as a background: flecks of a speckled yarn lie on its first colour. */
const speckled = ({ colour, second, third }) => [second, third].filter(Boolean).map((fleck, k) => `radial-gradient(circle at ${30 + 40 * k}% ${35 + 30 * k}%, ${fleck} 0 22%, transparent 24%) 0 0 / 7px 7px`)
  .concat(colour).join(", ");

function Colour({ model, colour, place, last }) {
  const at = `makeup.colours[${place}]`;
  const wrong = model.wrong.value[`${at}.strands`];
  const step = (/** @type {number} */ by) => model.change([{ field: `${at}.strands`, value: colour.strands + by }]);
  return html`<li><${Coloured} model=${model} field=${`${at}.colour`} value=${colour.colour} label=${`colour of ${colour.name}`} />
    <${Keyed} model=${model} field=${`${at}.name`} value=${colour.name} label=${`name of colour ${place}`} klass="strong" />
    <span class="stepper" role="group" aria-label=${`strands of ${colour.name}`}>
      <button type="button" aria-label=${`one strand of ${colour.name} less`} disabled=${colour.strands <= 1} onClick=${() => step(-1)}>−</button>
      <${Keyed} model=${model} field=${`${at}.strands`} value=${colour.strands} label=${`strands of ${colour.name}`} read=${numberOrText} klass="count" />
      <button type="button" aria-label=${`one strand of ${colour.name} more`} onClick=${() => step(1)}>+</button></span>
    ${last ? null : html`<button type="button" class="plain small" aria-label=${`Take out ${colour.name}`} onClick=${() => model.change([{ field: at, value: null }])}>take out</button>`}
    ${wrong ? html`<span class="unseen" role="alert">${fractions(wrong.rule)}</span>` : null}</li>`;
}

/** What was refused about the colours as a whole, said under them. */
function Refusals({ model, fields }) {
  return fields.filter((field) => field in model.wrong.value).map((field) => html`<p role="alert" key=${field}><${Wrong} wrong=${model.wrong.value[field]} /></p>`);
}

/** A further colour takes its strands from none: the line grows by them. They lie as they come until a pattern is chosen. */
function addColour(/** @type {LineModel} */ model, colours, makeup) {
  const all = colours.length === 0 ? [{ name: "first", colour: "#6B6456", strands: makeup.strands }] : colours;
  const added = { name: `colour ${all.length + 1}`, colour: "#B5AB98", strands: 2 };
  const free = (makeup.pattern ?? "free") === "free" ? [] : [{ field: "makeup.pattern", value: "free" }];
  return model.change([{ field: "makeup.colours", value: [...all, added] }, ...free]);
}

/** @param {{model: LineModel, choices: any}} props */
export function Ends({ model, choices }) {
  const { line, bench } = model.job.value;
  const loops = model.view.value?.plan.loops ?? [];
  const threads = [{ name: "", label: "bare" }, ...choices.threads];
  return html`<section class="ends"><h2>Ends</h2>
    <table class="rows ends-rows"><tbody>${["zero_end", "far_end"].map((end) => {
      const loop = line[end];
      const planned = loops.find((one) => one.name === loop.name);
      return html`<tr key=${end}><th scope="row"><span class="wait small">${end === "zero_end" ? "zero end" : "far end"} </span>
          <${Keyed} model=${model} field=${`line.${end}.name`} value=${loop.name} label=${end === "zero_end" ? "name of the zero end" : "name of the far end"} klass="strong" /></th>
        <td><span class="wait small">loop </span><${Keyed} model=${model} field=${`line.${end}.size`} value=${loop.size} label=${`loop size, ${loop.name}`} /></td>
        <td><${Chosen} model=${model} field=${`line.${end}.thread`} value=${loop.thread ?? ""} label=${`thread of the loop, ${loop.name}`} options=${threads} />
          ${planned ? html`<span class="wait small beside">serve ${fractions(planned.serve_text)}</span>` : null}</td></tr>`;
    })}</tbody></table>
    <p class="small wait">Wound on <a href="#/bench">${bench.name ?? "the bench"}</a>, zero post ${fractions(bench.zero_post ?? "not said")}.</p>
  </section>`;
}
