/** The build is done, or put aside. */
import { html } from "../../lib/dom.js";
import { halvesText } from "../../models/jig.js";
import { Stand } from "./parts.js";

export function Over({ id, advice, view }) {
  const tag = view.steps.find((s) => s.key === "tag");
  const later = tag ? view.steps.slice(view.steps.indexOf(tag) + 1) : [];
  if (view.aside) {
    return html`
      <${Stand} title="This build is put aside" lines=${["Its log stays; the job can be built again."]} />
      <a class="jig-act" href="#/">Go to the jobs</a>`;
  }
  return html`
    <${Stand} title=${advice.verdict ? `${advice.verdict[0].toUpperCase()}${advice.verdict.slice(1)}` : "Locked; the verdict follows when the bench computer answers"} caution=${tag?.caution} huge=${advice.landing?.finished_text || tag?.headline}
      under=${advice.proof?.sentence ?? ""} lines=${[`${halvesText(Math.round(2 * view.turns.in))} turns ${view.turns.hand}, locked and logged`, ...(tag?.lines ?? []),
        ...later.map((step) => `then on the bow: ${step.title}, ${step.headline}`)]}>
      <p class="jig-sides">
        <a class="act" href=${`/api/builds/${id}/sheet.pdf`} target="_blank" rel="noopener">Print the build's sheet</a>
        <a class="act" href=${`#/line/${encodeURIComponent(advice.job)}`}>A matched spare: the same line again</a>
        <a class="act" href="#/">What comes next: the jobs</a>
      </p>
    <//>
    <a class="jig-act" href=${`/api/builds/${id}/tag.pdf`} target="_blank" rel="noopener"><span>Print the tag</span></a>`;
}
