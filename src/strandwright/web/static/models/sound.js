// Counting aloud: a spoken count and a click, each by its own switch, remembered by this browser.

import { signal } from "@preact/signals-core";

const KEY = "strandwright.sound";

function kept() {
  try {
    return { speak: false, click: false, ...JSON.parse(localStorage.getItem(KEY) ?? "{}") };
  } catch {
    return { speak: false, click: false };
  }
}

/** Which sounds are wanted. */
export const wanted = signal(kept());

export const canSpeak = "speechSynthesis" in globalThis;

/** Switch one of them. */
export function choose(name, on) {
  wanted.value = { ...wanted.value, [name]: on };
  try {
    localStorage.setItem(KEY, JSON.stringify(wanted.value));
  } catch {
    // The choice then lasts as long as the page: nothing is lost by it.
  }
}

/** Say a count; a newer count cuts off an older one. */
export function speak(text) {
  if (!wanted.value.speak || !canSpeak) return;
  speechSynthesis.cancel();
  const words = new SpeechSynthesisUtterance(text);
  words.lang = "en";
  words.rate = 1.2;
  speechSynthesis.speak(words);
}

let audio = null;

/** A short tone: higher for a counted round, low and twice as long for a question. */
export function click(kind = "counted") {
  if (!wanted.value.click) return;
  audio ??= new AudioContext();
  const [pitch, length] = { counted: [880, 0.06], soon: [660, 0.25], asked: [220, 0.25] }[kind];
  const tone = audio.createOscillator();
  const loud = audio.createGain();
  const now = audio.currentTime;
  tone.frequency.value = pitch;
  loud.gain.setValueAtTime(0.25, now);
  loud.gain.exponentialRampToValueAtTime(0.001, now + length);
  tone.connect(loud).connect(audio.destination);
  tone.start(now);
  tone.stop(now + length);
}
