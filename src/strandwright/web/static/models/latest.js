/** Sends the newest of a quick row of wishes: one on its way at most, the newest waits, the rest are dropped. */

/**
 * @template Wish, Answer
 */
export class Latest {
  #send; #show; #fail; #count;
  #busy = false;
  /** @type {{wish: Wish}|null} */ #next = null;
  #shown = 0;

  /**
   * @param {{send: (wish: Wish, seq: number) => Promise<Answer>, show: (answer: Answer, wish: Wish) => void,
   *   fail: (error: any, wish: Wish) => void, nextNumber: () => number}} how
   */
  constructor({ send, show, fail, nextNumber }) {
    this.#send = send; this.#show = show; this.#fail = fail; this.#count = nextNumber;
  }

  /**
   * Wish for something; an older wish that still waits is forgotten.
   * @param {Wish} wish
   */
  offer(wish) {
    this.#next = { wish };
    if (!this.#busy) void this.#run();
  }

  /**
   * Let no answer to anything numbered so far be shown any more.
   * @param {number} seq
   */
  settle(seq) {
    this.#shown = Math.max(this.#shown, seq);
    this.#next = null;
  }

  async #run() {
    this.#busy = true;
    while (this.#next !== null) {
      const { wish } = this.#next;
      this.#next = null;
      const seq = this.#count();
      try {
        const answer = await this.#send(wish, seq);
        if (seq > this.#shown) { this.#shown = seq; this.#show(answer, wish); }
      } catch (error) {
        if (seq > this.#shown) this.#fail(error, wish);
      }
    }
    this.#busy = false;
  }
}
