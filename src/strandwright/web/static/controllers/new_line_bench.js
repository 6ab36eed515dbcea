/** The bench a new line is wound on; the first one is made right here. */
import { fractions, html } from "../lib/dom.js";
import { isFourPosts } from "../models/new_line_draft.js";
import { Field } from "./parts.js";

const JIGS = [{ name: "two", label: "two posts" }, { name: "four", label: "four posts" }];

/** @param {any} props */
export function BenchPart({ benches, bench, said, draft, text, pick, choices, at }) {
  const line = draft.value.value;
  const choice = benches.length === 0 ? null : html`<div class="bench-choice"><${Field} label="bench" id="new-bench" wrong=${at.bench}>
    <select id="new-bench" onChange=${(e) => draft.set({ bench: e.currentTarget.value })}>
      ${benches.map((one) => html`<option value=${one.id} selected=${one.id === bench}>${one.bench.name ?? one.id}, posts ${fractions(one.bench.zero_post)}</option>`)}
      <option value="new" selected=${bench === "new"}>another, new one</option></select><//>
    ${at.bench ? html`<p><a class="plain" href="#/bench">Mend it under Bench; what is typed here stays</a></p>` : null}</div>`;
  return html`<fieldset><legend>The bench</legend>
    ${said ? html`<p class="wrong" role="alert">The benches could not be fetched. ${said}</p>` : null}
    ${choice}
    ${bench !== "new" ? null : html`
      ${benches.length === 0 ? html`<p class="wait">No bench is kept yet. These make the first one; the rest can wait.</p>` : null}
      <div class="fields">
        ${text("benchName", "name", { such: "such as long beam" })}
        ${text("zeroPost", "diameter of the posts", { such: "such as 1/2 in" })}
        ${text("longest", "farthest the posts go apart", { such: "such as 120 in", hint: "outside to outside" })}
        ${pick("gauge", "what reads the load", choices.gauges, null)}
        ${pick("jig", "what loops are served on", JIGS, null)}
        ${isFourPosts(line) ? html`
          ${text("between", "between the posts of an arm", { such: "such as 4 1/2 in", hint: "from middle to middle; the posts above are then the outer ones" })}
          ${text("innerPost", "diameter of the inner posts", { such: "as the outer ones" })}
          ${text("pivot", "where an arm turns", { such: "half way", hint: "from its outer post on, such as 40 %" })}` : null}
        ${line.ratingUnknown ? null : text("rating", "rating of the weakest part", { such: "such as 600 lbf", hint: "of strap, posts and beam; stamped on it or on its label" })}
      </div>
      <label class="tick"><input type="checkbox" checked=${line.ratingUnknown} onChange=${(e) => draft.set({ ratingUnknown: e.currentTarget.checked })} /> The rating is not known</label>
      ${line.ratingUnknown ? html`<p class="caution">Then nothing here says that strap, posts and beam hold. Look at each before a load, cover the line,
        stand off its axis and never lean over it; keep to what their makers and a qualified technician allow. The sheet will say so too.</p>` : null}`}
  </fieldset>`;
}
