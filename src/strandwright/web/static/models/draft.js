/** What is being typed for something new, kept over a reload while the window is open. */
import { signal } from "@preact/signals";

/** @template {object} T */
export class Draft {
  #key; #storage; #fresh;
  /** @type {import("@preact/signals").Signal<T>} */ value;

  /**
   * @param {string} name
   * @param {T} fresh what stands there before anything is typed
   * @param {Pick<Storage, "getItem"|"setItem"|"removeItem">|null} storage
   */
  constructor(name, fresh, storage) {
    this.#key = `strandwright.draft.${name}`;
    this.#storage = storage;
    this.#fresh = fresh;
    this.value = signal({ ...fresh, ...this.#read() });
  }

  /** @param {Partial<T>} typed */
  set(typed) {
    this.value.value = { ...this.value.value, ...typed };
    // A storage that is off or full costs the draft at a reload, nothing now.
    try { this.#storage?.setItem(this.#key, JSON.stringify(this.value.value)); } catch { this.#storage = null; }
  }

  /** Begin afresh. */
  forget() {
    this.value.value = { ...this.#fresh };
    try { this.#storage?.removeItem(this.#key); } catch { this.#storage = null; }
  }

  #read() {
    try { return JSON.parse(this.#storage?.getItem(this.#key) ?? "{}"); } catch { return {}; }
  }
}

/** @returns {Storage|null} the window's own storage, where the browser allows it */
export function windowStorage() {
  try { return sessionStorage; } catch { return null; }
}
