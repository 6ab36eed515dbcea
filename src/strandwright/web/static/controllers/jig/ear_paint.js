/** The ear's two small plots, painted on their canvases. */
import { KEPT, STEP } from "../../models/ear_ring.js";

const PARTIALS = 8;
const DEEP = 70; // [dB] shown of a spectrum, down from its loudest
const LOWEST = -80; // [dB re full scale] shown of the loudness
const EDGE = { left: 58, right: 8, top: 26, bottom: 26 };

/**
 * @param {HTMLCanvasElement} canvas
 * @param {{analyser: AnalyserNode|null, expected: any, hearing: any}} what
 */
export function paintSpectrum(canvas, { analyser, expected, hearing }) {
  const pen = ready(canvas);
  const pitch = expected?.expected_hz;
  if (!(pitch > 0)) return;
  const most = (PARTIALS + 0.6) * pitch;
  const x = (hz) => pen.left + (hz / most) * pen.wide;
  for (const [i, hz] of (expected.partials_hz ?? []).slice(0, PARTIALS).entries()) {
    pen.line([[x(hz), pen.top], [x(hz), pen.bottom]], pen.colour.faint, 1, [3, 4]);
    pen.words(`${i + 1}`, x(hz), pen.top - 8, "center");
  }
  const step = niceStep(most / 5);
  for (let hz = step; x(hz) < pen.left + pen.wide - 54; hz += step) pen.words(`${hz}`, x(hz), pen.bottom + 19, "center");
  pen.words("Hz", pen.left + pen.wide, pen.bottom + 19, "right");
  pen.line([[pen.left, pen.bottom], [pen.left + pen.wide, pen.bottom]], pen.colour.faint);
  if (!analyser) return;
  const powers = new Float32Array(analyser.frequencyBinCount);
  analyser.getFloatFrequencyData(powers);
  const apart = analyser.context.sampleRate / analyser.fftSize;
  const shown = [...powers.slice(0, Math.ceil(most / apart))].map((power) => (Number.isFinite(power) ? power : -200));
  const top = Math.max(-70, ...shown);
  const y = (power) => pen.top + Math.min(1, Math.max(0, (top - power) / DEEP)) * pen.high;
  for (const down of [0, 40]) {
    pen.line([[pen.left, y(top - down)], [pen.left + pen.wide, y(top - down)]], pen.colour.faint, 1, [1, 5]);
    pen.words(down === 0 ? "0 dB" : `\u2212${down}`, pen.left - 8, y(top - down) + 6, "right");
  }
  pen.line(shown.map((power, i) => [x(i * apart), y(power)]), pen.colour.text, 1.5);
  for (const { hz } of hearing?.heard ? hearing.partials ?? [] : []) {
    if (hz <= most) pen.dot(x(hz), y(Math.max(...shown.slice(Math.max(0, Math.floor(hz / apart) - 1), Math.ceil(hz / apart) + 2))));
  }
}

/**
 * @param {HTMLCanvasElement} canvas
 * @param {import("../../models/ear_ring.js").Ring|null} ring
 */
export function paintLevels(canvas, ring) {
  const pen = ready(canvas);
  const y = (level) => pen.top + Math.min(1, Math.max(0, level / LOWEST)) * pen.high;
  const x = (ago) => pen.left + (1 - ago / KEPT) * pen.wide;
  for (const level of [0, -40, -80]) pen.line([[pen.left, y(level)], [pen.left + pen.wide, y(level)]], pen.colour.faint);
  for (const level of [0, -40]) pen.words(level === 0 ? "0 dB" : `\u2212${-level}`, pen.left - 8, y(level) + 6, "right");
  for (const ago of [4, 2]) pen.words(`${ago} s ago`, x(ago), pen.bottom + 19, "center");
  pen.words("now", pen.left + pen.wide, pen.bottom + 19, "right");
  if (!ring) return;
  const count = ring.levels.length;
  pen.line(ring.levels.map((level, i) => [x((count - 1 - i) * STEP), y(level)]), pen.colour.text, 1.5);
  const since = ring.onset === null ? KEPT : (ring.heard - ring.onset) / ring.rate;
  if (since >= KEPT) return;
  pen.line([[x(since), pen.top - 4], [x(since), pen.bottom]], pen.colour.mark, 2);
  pen.words("pluck", x(since), pen.top - 9, since < 0.4 ? "right" : "center");
}

/** A canvas as sharp as its screen, cleared, with what paints on it. */
function ready(canvas) {
  const sharp = devicePixelRatio || 1;
  const [width, height] = [canvas.clientWidth, canvas.clientHeight];
  canvas.width = Math.round(sharp * width);
  canvas.height = Math.round(sharp * height);
  const brush = canvas.getContext("2d");
  brush.scale(sharp, sharp);
  brush.font = '16px "Inter", system-ui, sans-serif';
  const style = getComputedStyle(canvas);
  const colour = Object.fromEntries(Object.entries({ text: "--text", wait: "--text-wait", faint: "--outline", mark: "--touched" })
    .map(([name, token]) => [name, style.getPropertyValue(token).trim()]));
  return {
    colour, left: EDGE.left, top: EDGE.top, wide: width - EDGE.left - EDGE.right, high: height - EDGE.top - EDGE.bottom, bottom: height - EDGE.bottom,
    line(points, stroke, thick = 1, dash = []) {
      Object.assign(brush, { strokeStyle: stroke, lineWidth: thick, lineJoin: "round" });
      brush.setLineDash(dash);
      brush.beginPath();
      points.forEach(([a, b], i) => (i === 0 ? brush.moveTo(a, b) : brush.lineTo(a, b)));
      brush.stroke();
    },
    words(text, a, b, align) {
      Object.assign(brush, { fillStyle: colour.wait, textAlign: align });
      brush.fillText(text, a, b);
    },
    dot(a, b) {
      brush.fillStyle = colour.mark;
      brush.beginPath();
      brush.arc(a, b, 4.5, 0, 2 * Math.PI);
      brush.fill();
    },
  };
}

/** 1, 2 or 5 with noughts, not under what is wanted. */
function niceStep(wanted) {
  const ten = 10 ** Math.floor(Math.log10(wanted));
  return ten * [1, 2, 5, 10].find((step) => step * ten >= wanted);
}
