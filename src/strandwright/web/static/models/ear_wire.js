// What is asked of the bench computer about a sound.

import { ApiError, get, post } from "../lib/api.js";

const LARGEST = 20_000_000;

export class EarWire {
  /** @param {string} build @param {string} step */
  constructor(build, step) {
    this.base = `/api/builds/${build}/hear`;
    this.step = step;
  }

  get #address() { return `${this.base}?step=${encodeURIComponent(this.step)}`; }

  /** What is to be expected of the line before it is plucked. */
  expected() { return get(this.#address); }

  /** @param {object[]} plucks each as its answer gave it */
  together(plucks) { return post(`${this.base}/together`, { step: this.step, plucks }); }

  /**
   * What is heard in a sound.
   * @param {Blob} sound of type audio/wav or audio/flac
   * @throws {ApiError}
   */
  async hear(sound) {
    if (sound.size > LARGEST) {
      throw new ApiError(`the sound has ${Math.ceil(sound.size / 1e6)} MB and may have ${LARGEST / 1e6}: cut it to the plucks`);
    }
    let answer;
    try {
      answer = await fetch(this.#address, { method: "POST", headers: { "Content-Type": sound.type }, body: sound });
    } catch {
      throw new ApiError("The bench computer does not answer. Pluck again when it does; nothing on this page is lost.");
    }
    const read = await answer.json().catch(() => null);
    if (answer.ok && read !== null) return read;
    throw new ApiError(read?.said || `The bench computer answered with ${answer.status} and no reason.`,
      { status: answer.status, errors: read?.errors ?? [], body: read });
  }
}
