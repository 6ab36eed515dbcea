// The one outbox of this window, joined to the shell: it tells what waits and hears what changes.

import { effect } from "@preact/signals-core";

import { newId } from "../lib/ids.js";
import { Outbox } from "./outbox.js";
import { answering, mark, setWaiting } from "./shell.js";

const KEY = "strandwright.browser";

/** A name for this browser, so that a log tells two of them apart. */
function browserName() {
  try {
    const kept = localStorage.getItem(KEY) ?? `browser ${newId().slice(0, 6)}`;
    localStorage.setItem(KEY, kept);
    return kept;
  } catch {
    return "browser";
  }
}

export const outbox = new Outbox({ by: browserName() });

effect(() => setWaiting("outbox", outbox.pending.value.length));
effect(() => {
  if (mark.value > 0) outbox.changed();
});
effect(() => {
  if (answering.value) outbox.nudge();
});
