// Keeps the screen awake while hands are busy.

import { signal } from "@preact/signals-core";

/** Whether the screen is kept awake; false where the browser cannot. */
export const awake = signal(false);

/** Hold the screen awake until the function given back is called. */
export function stayAwake() {
  let lock = null;
  let over = false;
  const hold = async () => {
    if (over || document.visibilityState !== "visible") return;
    try {
      const held = await navigator.wakeLock.request("screen");
      if (over) return void held.release();
      lock = held;
      awake.value = true;
      held.addEventListener("release", () => (awake.value = false));
    } catch {
      awake.value = false; // told in the jig's settings; the count does not depend on it
    }
  };
  document.addEventListener("visibilitychange", hold);
  hold();
  return () => {
    over = true;
    document.removeEventListener("visibilitychange", hold);
    lock?.release();
  };
}
