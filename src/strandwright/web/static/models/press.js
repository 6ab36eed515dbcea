// One press is one round: which keys count, and which presses are too quick to be believed.

/** A second press sooner than this after the last counted one is asked about [ms]. */
export const TOO_SOON = 300;

// A pedal may be set to any key. Left out: what moves the focus, shifts, or sets the sound.
const NAMED = new Set(["Enter", "Escape", "PageDown", "PageUp", "Home", "End", "Insert", "Delete", "Pause", "ScrollLock"]);
// With the browser's own among them: at a counter F5 is a round, Ctrl+R still fetches the page anew.
const FUNCTION = /^F\d{1,2}$/;

/** What a key means at the counter: "round", "half", "undo", or "" where it is none of ours. */
export function meaning({ key, ctrlKey, metaKey, altKey, repeat, isComposing }) {
  if (repeat || isComposing || ctrlKey || metaKey || altKey) return "";
  if (key === "Backspace" || key === "u" || key === "U") return "undo";
  if (key === "h" || key === "H") return "half";
  return key.length === 1 || NAMED.has(key) || key.startsWith("Arrow") || FUNCTION.test(key) ? "round" : "";
}

/** True where a key belongs to the thing that has the focus, not to the counter. */
export function belongsTo(target, key) {
  // Nothing is written by a function key: it is the foot's, wherever the hand is.
  if (!(target instanceof Element) || FUNCTION.test(key)) return false;
  if (target.closest("input, textarea, select, [contenteditable]")) return true;
  const pressed = key === " " || key === "Enter";
  return pressed && target.closest("button:not([data-pedal]), a, summary") !== null;
}

export class PressJudge {
  #last = -Infinity;

  /** Seconds since the last counted press where this one is too soon; else 0, and it counts. */
  judge(now) {
    const since = now - this.#last;
    if (since < TOO_SOON) return Math.max(since, 1) / 1000;
    this.#last = now;
    return 0;
  }
}
