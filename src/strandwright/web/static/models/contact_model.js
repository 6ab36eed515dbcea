/** What a job's bow touches of its line: asked for once the line's page rests, since it may take seconds. */
import { batch, signal } from "@preact/signals";
import { ApiError, get } from "../lib/api.js";

export class ContactModel {
  /** The newest answer. @type {import("@preact/signals").Signal<any>} */ answer = signal(null);
  /** Whether the bow is being looked at. */ looking = signal(false);
  /** Why it could not be fetched; empty where it could. */ said = signal("");
  #path; #turn = 0;

  /** @param {string} path of the job */
  constructor(path) { this.#path = path; }

  /**
   * Ask; an older answer never replaces a newer one, and what was shown stays until then.
   * @param {number} width of the line's strip [px]
   * @param {string} theme
   */
  async ask(width, theme) {
    const turn = ++this.#turn;
    batch(() => { this.looking.value = true; this.said.value = ""; });
    try {
      const found = await get(`${this.#path}/bow/servings?width=${width}&theme=${theme}`);
      if (turn === this.#turn) batch(() => { this.answer.value = found; this.looking.value = false; });
    } catch (error) {
      if (!(error instanceof ApiError)) throw error;
      if (turn === this.#turn) batch(() => { this.said.value = error.message; this.looking.value = false; });
    }
  }

  /** Want no answer any more. */
  leave() { this.#turn += 1; }
}
