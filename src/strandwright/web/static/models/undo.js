/** What can be taken back: two stacks of a job's revisions, kept while the window is open. */

export class Undo {
  #storage; #key;
  /** @type {number[]} */ past = [];
  /** @type {number[]} */ future = [];
  now = 0;

  /**
   * @param {string} id of the job
   * @param {Pick<Storage, "getItem"|"setItem">|null} storage null keeps nothing over a reload
   */
  constructor(id, storage) {
    this.#storage = storage;
    this.#key = `strandwright.undo.${id}`;
  }

  /**
   * Begin at the newest revision; what was kept holds only if nobody changed the job since.
   * @param {number} revision
   */
  begin(revision) {
    const kept = this.#read();
    this.past = kept?.now === revision ? kept.past : [];
    this.future = kept?.now === revision ? kept.future : [];
    this.now = revision;
    this.#write();
  }

  /** @param {number} revision that a change made */
  changed(revision) {
    this.past = [...this.past, this.now];
    this.future = [];
    this.now = revision;
    this.#write();
  }

  /** The revision whose content undoing brings back. @returns {number|undefined} */
  get back() { return this.past.at(-1); }

  /** The revision whose content redoing brings back. @returns {number|undefined} */
  get forth() { return this.future.at(-1); }

  /** @param {number} revision that undoing made */
  wentBack(revision) {
    this.future = [...this.future, this.now];
    this.past = this.past.slice(0, -1);
    this.now = revision;
    this.#write();
  }

  /** @param {number} revision that redoing made */
  wentForth(revision) {
    this.past = [...this.past, this.now];
    this.future = this.future.slice(0, -1);
    this.now = revision;
    this.#write();
  }

  #read() {
    try {
      const kept = JSON.parse(this.#storage?.getItem(this.#key) ?? "null");
      return kept !== null && [kept.past, kept.future].every(Array.isArray) ? kept : null;
    } catch { return null; }   // unreadable is the same as never kept: undo starts afresh
  }

  #write() {
    const { past, future, now } = this;
    try { this.#storage?.setItem(this.#key, JSON.stringify({ past, future, now })); } catch {
      // A full or forbidden storage costs undo after a reload, nothing else.
      this.#storage = null;
    }
  }
}
