/** What was typed and refused, with what is wrong with it: it stands at its field, over a reload too. */
import { signal } from "@preact/signals";

/** @typedef {{given: any, rule: string, remedy: string, about?: string}} Wrong */

export class Refused {
  #storage; #key;
  /** @type {import("@preact/signals").Signal<Record<string, Wrong>>} */ wrong;

  /**
   * @param {string} id of the job
   * @param {Pick<Storage, "getItem"|"setItem">|null} storage null keeps nothing over a reload
   */
  constructor(id, storage) {
    this.#storage = storage;
    this.#key = `strandwright.refused.${id}`;
    this.wrong = signal(this.#read());
  }

  /** @param {string} field @param {Wrong} wrong */
  at(field, wrong) { this.#keep({ ...this.wrong.value, [field]: wrong }); }

  /** @param {string} field */
  forgive(field) {
    if (!(field in this.wrong.value)) return;
    const { [field]: _, ...rest } = this.wrong.value;
    this.#keep(rest);
  }

  forgiveAll() { this.#keep({}); }

  /** @param {Record<string, Wrong>} wrong */
  #keep(wrong) {
    this.wrong.value = wrong;
    // A full or forbidden storage costs the typed text at a reload, nothing now.
    try { this.#storage?.setItem(this.#key, JSON.stringify(wrong)); } catch { this.#storage = null; }
  }

  #read() {
    try {
      const kept = JSON.parse(this.#storage?.getItem(this.#key) ?? "{}");
      return typeof kept === "object" && kept !== null ? kept : {};
    } catch { return {}; }   // unreadable is the same as never kept
  }
}
