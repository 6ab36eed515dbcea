/** Keys of the whole window as presses of a counter: a pedal is a keyboard with one key. */
import { useLayoutEffect, useRef } from "preact/hooks";

import { belongsTo, meaning } from "../../models/press.js";

/** @param {(kind: "round"|"half"|"undo", when: number) => void} on */
export function usePedal(on) {
  const latest = useRef(on);
  latest.current = on;
  // With the screen's own commit, so that no press falls between two colours.
  useLayoutEffect(() => {
    const down = (event) => {
      if (event.defaultPrevented || belongsTo(event.target, event.key)) return;
      const kind = meaning(event);
      // A key held down repeats: it must neither count nor scroll.
      if (kind || meaning({ ...plain(event), repeat: false })) event.preventDefault();
      if (kind) latest.current(kind, event.timeStamp);
    };
    // Some browsers press a focused button when the space bar comes up.
    const up = (event) => {
      if (event.key === " " && !belongsTo(event.target, event.key)) event.preventDefault();
    };
    addEventListener("keydown", down);
    addEventListener("keyup", up);
    return () => {
      removeEventListener("keydown", down);
      removeEventListener("keyup", up);
    };
  }, []);
}

const plain = ({ key, ctrlKey, metaKey, altKey, isComposing }) =>
  ({ key, ctrlKey, metaKey, altKey, isComposing });
