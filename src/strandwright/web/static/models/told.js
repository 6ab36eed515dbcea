/** What must be worked out of the rows of a list, asked for when they come into sight. */
import { signal } from "@preact/signals";
import { useEffect, useMemo } from "preact/hooks";
import { get } from "../lib/api.js";

/** Rows asked for in one request. */
const AT_ONCE = 8;

export class Told {
  /** What was answered, by row. @type {import("@preact/signals").Signal<Record<string, any>>} */ rows = signal({});
  /** @type {Set<string>} */ #inSight = new Set();
  /** @type {Set<string>} */ #wanted = new Set();
  #busy = false;
  #path; #parameter; #answer;
  /** @type {IntersectionObserver} */ #watcher;

  /**
   * @param {string} path
   * @param {string} parameter the name a row's identity is sent under
   * @param {string} answer the field of the answer that holds the rows
   */
  constructor(path, parameter, answer) {
    this.#path = path; this.#parameter = parameter; this.#answer = answer;
    this.#watcher = new IntersectionObserver((seen) => {
      for (const one of seen) {
        const id = /** @type {HTMLElement} */ (one.target).dataset.row ?? "";
        if (one.isIntersecting) { this.#inSight.add(id); this.#wanted.add(id); } else this.#inSight.delete(id);
      }
      void this.#ask();
    }, { rootMargin: "200px" });
  }

  /** Watch a row, whose element names it in `data-row`. @param {Element | null} element */
  watch = (element) => { if (element) this.#watcher.observe(element); };

  /** Ask anew for what is in sight: something kept has changed. */
  again() {
    for (const id of this.#inSight) this.#wanted.add(id);
    void this.#ask();
  }

  stop() { this.#watcher.disconnect(); this.#wanted.clear(); this.#inSight.clear(); }

  async #ask() {
    if (this.#busy) return;
    this.#busy = true;
    while (this.#wanted.size > 0) {
      const some = [...this.#wanted].slice(0, AT_ONCE);
      for (const id of some) this.#wanted.delete(id);
      const query = some.map((id) => `${this.#parameter}=${encodeURIComponent(id)}`).join("&");
      try {
        const found = await get(`${this.#path}?${query}`);
        this.rows.value = { ...this.rows.value, ...found[this.#answer] };
      } catch { /* The list itself says when nothing answers; these rows are asked for again with it. */ }
    }
    this.#busy = false;
  }
}

/**
 * What is worked out of rows in sight, for as long as a screen stands.
 * @param {string} path
 * @param {string} parameter
 * @param {string} answer
 * @param {unknown} heard asked for anew when it is another
 */
export function useTold(path, parameter, answer, heard) {
  const told = useMemo(() => new Told(path, parameter, answer), [path, parameter, answer]);
  useEffect(() => () => told.stop(), [told]);
  useEffect(() => { told.again(); }, [told, heard]);
  return told;
}
