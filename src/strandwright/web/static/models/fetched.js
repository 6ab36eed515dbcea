/** Something fetched and fetched anew when anything kept has changed. */
import { signal } from "@preact/signals";
import { useEffect, useMemo } from "preact/hooks";
import { get } from "../lib/api.js";
import { mark } from "./shell.js";

export class Fetched {
  /** @type {import("@preact/signals").Signal<any>} */ value = signal(null);
  /** Why the newest fetch failed; empty where it did not. */ said = signal("");
  #path; #turn = 0;

  /** @param {string} path */
  constructor(path) { this.#path = path; }

  /** Fetch; an older answer never replaces a newer one. */
  async fetch() {
    const turn = ++this.#turn;
    try {
      const found = await get(this.#path);
      if (turn === this.#turn) { this.value.value = found; this.said.value = ""; }
    } catch (error) {
      if (turn === this.#turn) this.said.value = error.message;
    }
  }
}

/**
 * Fetch for as long as a screen stands.
 * @param {string} path
 * @returns {Fetched}
 */
export function useFetched(path) {
  const fetched = useMemo(() => new Fetched(path), [path]);
  const heard = mark.value;
  useEffect(() => { void fetched.fetch(); }, [fetched, heard]);
  return fetched;
}
