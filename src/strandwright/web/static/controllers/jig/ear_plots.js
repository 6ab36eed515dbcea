/** What the microphone hears now: its spectrum with the line's partials, and how a pluck dies away. */
import { useEffect, useRef } from "preact/hooks";

import { html } from "../../lib/dom.js";
import { paintLevels, paintSpectrum } from "./ear_paint.js";

/** No eye needs them oftener [ms]. */
const APART = 60;

export function Plots({ ear }) {
  const spectrum = useRef(/** @type {HTMLCanvasElement|null} */ (null));
  const levels = useRef(/** @type {HTMLCanvasElement|null} */ (null));
  const expected = ear.expected.value;
  const last = ear.last.value;
  const paint = useRef(() => undefined);
  paint.current = () => {
    if (spectrum.current) paintSpectrum(spectrum.current, { analyser: ear.analyser, expected, hearing: last?.hearing });
    if (levels.current) paintLevels(levels.current, ear.ring);
  };
  // Drawn anew with every answer; running only where motion is welcome.
  useEffect(() => paint.current(), [expected, last?.hearing, ear.state.value]);
  useEffect(() => {
    if (matchMedia("(prefers-reduced-motion: reduce)").matches) return undefined;
    let before = 0;
    let frame = requestAnimationFrame(function again(now) {
      if (now - before >= APART) { before = now; paint.current(); }
      frame = requestAnimationFrame(again);
    });
    return () => cancelAnimationFrame(frame);
  }, []);
  return html`<div class="ear-plots">
    <canvas ref=${spectrum} role="img" aria-label="Spectrum of what is heard; dashed lines stand where the partials of the line are expected at the load wanted"></canvas>
    <canvas ref=${levels} role="img" aria-label="Loudness over the last six seconds"></canvas></div>`;
}
