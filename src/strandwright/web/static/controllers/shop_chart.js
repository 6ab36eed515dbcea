/** One chart of the shop: every build can be met by mouse, by finger and by key, and opens. */
import { useEffect, useRef, useState } from "preact/hooks";

import { bound, html } from "../lib/dom.js";
import { addressOf } from "../lib/route.js";
import { pictureTheme } from "../models/shell.js";

/**
 * One measure over the builds.
 * @param {{chart: any, without: string[]}} props
 */
export function Chart({ chart, without }) {
  const drawn = useRef(/** @type {HTMLElement|null} */ (null));
  const [met, setMet] = useState(/** @type {any} */ (null));
  const theme = pictureTheme.value;
  useEffect(() => {
    const draw = (/** @type {string} */ name) => {
      if (drawn.current) lay(drawn.current, chart, name, setMet);
    };
    const paper = () => draw("print"), screen = () => draw(theme);
    screen();
    window.addEventListener("beforeprint", paper);
    window.addEventListener("afterprint", screen);
    return () => {
      window.removeEventListener("beforeprint", paper);
      window.removeEventListener("afterprint", screen);
    };
  }, [chart, theme]);
  const now = chart.points.find((/** @type {any} */ p) => p.build === met?.build);
  return html`<article class="chart" aria-label=${chart.title}>
    <h2>${chart.headline}</h2>
    <div class="chart-drawn" ref=${drawn} role="group" aria-label=${`Builds of the chart: ${chart.title}`}></div>
    <p class="chart-met no-print" aria-live="polite">${now ? html`<span>${bound(met.words)}</span>
      <a class="act" href=${addressOf("jig", now.build)}>Open build ${now.label} (${now.job})</a>`
      : html`<span class="wait">Point at a build, or go to it with the arrow keys; Enter opens it.</span>`}</p>
    ${chart.sentences.length > 0 ? html`<ul class="chart-said">${chart.sentences.map((/** @type {string} */ text) => html`<li>${bound(text)}</li>`)}</ul>` : null}
    ${without.length > 0 ? html`<p class="wait">Not in it: ${without.length === 1 ? "build" : "builds"} ${without.join(", ")}, without a reading at the proof that counts.</p>` : null}
    <details class="no-print"><summary>Open a build</summary><p class="chart-builds">${chart.points.map((/** @type {any} */ p) => html`
      <a href=${addressOf("jig", p.build)}>${p.label}: ${p.job}</a> `)}</p></details>
  </article>`;
}

/**
 * Draw a chart, and let each of its builds be met and opened. One of them is in the order of the
 * tabulator, the arrows go on from there.
 * @param {HTMLElement} place
 * @param {any} chart
 * @param {string} theme
 * @param {(met: {build: string, words: string}) => void} onMet
 */
function lay(place, chart, theme, onMet) {
  const svg = chart.svg[theme] ?? "";
  if (svg === "") { place.replaceChildren(); return; }
  const picture = new DOMParser().parseFromString(svg, "image/svg+xml").documentElement;
  place.replaceChildren(document.importNode(picture, true));
  const marks = chart.points.flatMap((/** @type {any} */ point) => {
    const mark = place.querySelector(`[data-build="${CSS.escape(point.label)}"]`);
    return mark instanceof SVGElement ? [{ mark, point }] : [];
  });
  marks.forEach(({ mark, point }, i) => {
    const words = mark.querySelector("title")?.textContent ?? `build ${point.label}`;
    const open = () => { location.hash = addressOf("jig", point.build); };
    const meet = () => onMet({ build: point.build, words });
    let touched = false;
    mark.setAttribute("role", "link");
    mark.setAttribute("aria-label", `${words}; ${point.job}`);
    mark.setAttribute("tabindex", i === marks.length - 1 ? "0" : "-1");
    mark.addEventListener("pointerdown", (event) => { touched = event.pointerType === "touch"; });
    mark.addEventListener("pointerenter", meet);
    mark.addEventListener("focus", meet);
    // A finger is broader than a build: it meets one, and the button under the chart opens it.
    mark.addEventListener("click", () => { if (touched) meet(); else open(); });
    mark.addEventListener("keydown", (event) => {
      const to = { ArrowLeft: i - 1, ArrowRight: i + 1, Home: 0, End: marks.length - 1 }[event.key];
      if (event.key === "Enter" || event.key === " ") { event.preventDefault(); open(); }
      if (to === undefined || marks[to] === undefined) return;
      event.preventDefault();
      mark.setAttribute("tabindex", "-1");
      marks[to].mark.setAttribute("tabindex", "0");
      marks[to].mark.focus();
    });
  });
}
