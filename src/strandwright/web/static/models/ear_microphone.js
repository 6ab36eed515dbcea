// The microphone, as it is and with nothing done to its sound; or why there is none.

const WORKLET = "/static/worklets/ear.js";
/** What a browser does for speech, and what it would do to a pluck. */
const PROCESSING = { echoCancellation: "echo cancelling", noiseSuppression: "noise suppression", autoGainControl: "automatic gain" };

/** Why nothing can be heard through a microphone, and what helps. */
export class NoMicrophone extends Error {
  /** @param {string} said @param {string} remedy */
  constructor(said, remedy) {
    super(said);
    this.remedy = remedy;
  }
}

/**
 * Open the microphone.
 * @param {{onPiece: (piece: Float32Array) => void, onEnd: () => void}} how onEnd: it was pulled out or taken away
 * @returns {Promise<{rate: number, kept: string[], analyser: AnalyserNode, close: () => void}>}
 *   kept: processing the browser left on
 * @throws {NoMicrophone}
 */
export async function openMicrophone({ onPiece, onEnd }) {
  if (!globalThis.isSecureContext) {
    throw new NoMicrophone("A browser lends its microphone only to a page of this computer or a locked (https) one, and this page is neither.",
      `Open it on the bench computer itself, under the name localhost${location.port ? `:${location.port}` : ""}, or bring a recording.`);
  }
  if (!navigator.mediaDevices?.getUserMedia || !globalThis.AudioWorkletNode) {
    throw new NoMicrophone("This browser cannot hear.", "Use a newer one, or bring a recording.");
  }
  const stream = await asked();
  const context = new AudioContext();
  const close = () => {
    stream.getTracks().forEach((track) => track.stop());
    if (context.state !== "closed") context.close();
  };
  try {
    await context.audioWorklet.addModule(WORKLET);
    await context.resume();
  } catch (error) {
    close();
    throw new NoMicrophone(`The browser opened its microphone and could not listen to it (${error.message}).`, "Load the page again, or bring a recording.");
  }
  const [track] = stream.getAudioTracks();
  track.addEventListener("ended", onEnd);
  const source = context.createMediaStreamSource(stream);
  const ear = new AudioWorkletNode(context, "ear", { channelCount: 1, channelCountMode: "explicit" });
  const analyser = new AnalyserNode(context, { fftSize: 32768, smoothingTimeConstant: 0, minDecibels: -120, maxDecibels: 0 });
  ear.port.onmessage = ({ data }) => onPiece(data);
  // Only what leads to the loudspeaker is worked through; the ear gives it silence.
  source.connect(ear).connect(context.destination);
  source.connect(analyser);
  const settings = track.getSettings();
  const kept = Object.keys(PROCESSING).filter((name) => settings[name]).map((name) => PROCESSING[name]);
  return { rate: context.sampleRate, kept, analyser, close };
}

async function asked() {
  const off = Object.fromEntries(Object.keys(PROCESSING).map((name) => [name, false]));
  try {
    return await navigator.mediaDevices.getUserMedia({ audio: { ...off, channelCount: 1 }, video: false });
  } catch (error) {
    throw await reason(error);
  }
}

/** @param {DOMException} error */
async function reason(error) {
  switch (error.name) {
    case "NotAllowedError":
    case "SecurityError":
      return await isForbidden()
        ? new NoMicrophone("This page may not use the microphone.",
          "Allow it at the sign beside the address (or in the browser's settings for this page), then ask again; or bring a recording.")
        : new NoMicrophone("The microphone was not allowed.", "Ask again and say yes when the browser asks; or bring a recording.");
    case "NotFoundError":
    case "OverconstrainedError":
      return new NoMicrophone("No microphone was found.", "Plug one in and ask again; or bring a recording.");
    case "NotReadableError":
    case "AbortError":
      return new NoMicrophone("The microphone is busy or does not answer.", "Close what else is using it and ask again; or bring a recording.");
    default:
      return new NoMicrophone(`The microphone could not be opened (${error.message || error.name}).`, "Ask again; or bring a recording.");
  }
}

async function isForbidden() {
  try {
    return (await navigator.permissions.query({ name: "microphone" })).state === "denied";
  } catch {
    return false; // a browser that does not tell has just asked
  }
}
