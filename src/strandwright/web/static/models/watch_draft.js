/** What is about to be noted of a line that stands under its load, until it is kept. */
import { batch, signal } from "@preact/signals-core";

/** The load as typed, or as the ear has put it there. */
export const load = signal("");
/** Whether that load was heard and stands as it was heard. */
export const isHeard = signal(false);
export const posts = signal("");
export const temperature = signal("");

/**
 * Put a load that was heard into the field.
 * @param {string} entry such as "301 lbf +- 4 lbf"
 */
export function putHeard(entry) {
  batch(() => { load.value = entry; isHeard.value = true; });
}

/** Let a hand type another load: it is no longer the one that was heard. */
export function typeLoad(text) {
  batch(() => { load.value = text; isHeard.value = false; });
}

/** What was read is kept: empty what changes from look to look. */
export function emptied() {
  batch(() => { load.value = ""; isHeard.value = false; posts.value = ""; temperature.value = ""; });
}

/**
 * The body of the act.
 * @param {string} step
 * @param {string} stood how long the load has stood, such as "12 min"
 */
export function bodyOf(step, stood) {
  const typed = { load: load.value, posts: posts.value, temperature: temperature.value };
  const told = Object.entries(typed).map(([k, v]) => [k, v.trim()]).filter(([, v]) => v);
  return { step, stood, ...(isHeard.value ? { heard: true } : {}), ...Object.fromEntries(told) };
}
