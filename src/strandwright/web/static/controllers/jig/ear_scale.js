/** Where the load heard stands against the load wanted: a band, and a pointer over it. */
import { bound, html } from "../../lib/dom.js";

/** Half of the scale as the logarithm of a pitch, at least [-]. */
const LEAST = Math.log(1.15);

/**
 * @param {{expected: {band_hz: [number, number], target_text: string}|null, hearing: any}} props
 */
export function Scale({ expected, hearing }) {
  const [low, high] = expected?.band_hz ?? [];
  if (!(low > 0 && high > low)) return null;
  const middle = Math.log(low * high) / 2;
  const band = Math.log(high / low) / 2;
  const half = Math.max(LEAST, 3 * band);
  const place = (pitch) => Math.min(1, Math.max(-1, (Math.log(pitch) - middle) / half));
  const percent = (x) => `${50 + 50 * x}%`;
  const at = hearing ? place(hearing.pitch) : null;
  const words = hearing ? `The pointer is ${{ low: "under", high: "over", at: "in" }[hearing.verdict] ?? "at"} the band of ${expected.target_text}`
    : `The band of ${expected.target_text}, no pointer yet`;
  return html`
    <div class="ear-scale" role="img" aria-label=${words}>
      <div class="ear-rail">
        <i class="ear-band" style=${{ left: percent(-band / half), right: percent(-band / half) }}></i>
        ${at === null ? null : html`<i class="ear-pointer" data-verdict=${hearing.verdict} data-end=${Math.abs(at) === 1 ? "" : null} style=${{ left: percent(0.985 * at) }}></i>`}
      </div>
      <p aria-hidden="true"><span>slacker</span><b>${bound(expected.target_text)}</b><span>tighter</span></p>
    </div>`;
}
