// Samples as a WAV file, and what a file that was brought is. Pure.

const HEAD = 44;
const BYTES = 2;

/**
 * Write one channel of 16 bit whole numbers.
 * @param {Float32Array} samples full scale 1
 * @param {number} rate samples in a second
 * @returns {Blob}
 */
export function wavOf(samples, rate) {
  const view = new DataView(new ArrayBuffer(HEAD + BYTES * samples.length));
  const text = (at, words) => [...words].forEach((c, i) => view.setUint8(at + i, c.charCodeAt(0)));
  text(0, "RIFF");
  view.setUint32(4, HEAD - 8 + BYTES * samples.length, true);
  text(8, "WAVEfmt ");
  view.setUint32(16, 16, true);
  view.setUint16(20, 1, true); // whole numbers
  view.setUint16(22, 1, true); // channels
  view.setUint32(24, rate, true);
  view.setUint32(28, BYTES * rate, true);
  view.setUint16(32, BYTES, true);
  view.setUint16(34, 8 * BYTES, true);
  text(36, "data");
  view.setUint32(40, BYTES * samples.length, true);
  for (let i = 0; i < samples.length; i += 1) {
    view.setInt16(HEAD + BYTES * i, Math.round(32767 * Math.min(1, Math.max(-1, samples[i]))), true);
  }
  return new Blob([view.buffer], { type: "audio/wav" });
}

/**
 * Tell what a file is by its first bytes: a name says little, and a phone's less.
 * @param {Blob} file
 * @returns {Promise<"audio/wav"|"audio/flac"|"">} empty where it is neither
 */
export async function soundKind(file) {
  const head = new Uint8Array(await file.slice(0, 12).arrayBuffer());
  const text = String.fromCharCode(...head);
  if (text.startsWith("fLaC")) return "audio/flac";
  return text.startsWith("RIFF") && text.endsWith("WAVE") ? "audio/wav" : "";
}
