/** A set under change: its lines, its pairs, its name; what was typed outlives a refusal, a silence and a reload. */
import { signal } from "@preact/signals";
import { ApiError, put } from "../lib/api.js";
import { setWaiting } from "./shell.js";

/** Most lines that a set holds. */
export const MOST = 10;

/** Texts beside lines and pairs, with what holds where the set says nothing. */
const TEXTS = { name: "", hands: "one", spool: "" };

/** @typedef {{one: string, other: string}} Pair */
/** @typedef {{name?: string, hands?: string, spool?: string, lines?: string[], pairs?: Pair[], adding?: string}} Changed */

export class SetDraft {
  /** What was changed; what is not in it is as it is kept. */ changed = signal(/** @type {Changed} */ ({}));
  failure = signal(/** @type {any} */ (null));
  busy = signal(false);
  #id; #sent = { /** @type {string[]} */ lines: [], /** @type {Pair[]} */ pairs: [] };

  /** @param {string} id */
  constructor(id) {
    this.#id = id;
    try { this.changed.value = JSON.parse(room()?.getItem(this.#key) ?? "null") ?? {}; } catch { /* not of this program */ }
  }

  get #key() { return `strandwright.set.${this.#id}`; }

  get isDirty() { return Object.keys(this.changed.value).length > 0; }

  /** What a field shows. @param {any} table @param {keyof typeof TEXTS} name @returns {string} */
  shown(table, name) { return this.changed.value[name] ?? table[name] ?? TEXTS[name]; }

  /** @param {any} table @returns {string[]} */
  lines(table) { return this.changed.value.lines ?? table.lines.map((line) => line.job); }

  /** @param {any} table @returns {Pair[]} */
  pairs(table) { return this.changed.value.pairs ?? (table.pairs ?? []); }

  /** @param {Changed} more */
  change(more) {
    this.changed.value = { ...this.changed.value, ...more };
    this.#hold();
  }

  /** @param {any} table @param {string} job */
  add(table, job) {
    if (job === "") return;
    this.change({ lines: [...this.lines(table), job], adding: "" });
    this.#moved();
  }

  /** @param {any} table @param {string} job */
  takeOut(table, job) {
    this.change({ lines: this.lines(table).filter((one) => one !== job) });
    this.#moved();
  }

  /** @param {any} table */
  addPair(table) { this.change({ pairs: [...this.pairs(table), { one: "", other: "" }] }); }

  /** @param {any} table @param {number} at */
  undoPair(table, at) {
    this.change({ pairs: this.pairs(table).filter((_, k) => k !== at) });
    this.#moved();
  }

  /** @param {any} table @param {number} at @param {"one"|"other"} which @param {string} job */
  choosePair(table, at, which, job) {
    this.change({ pairs: this.pairs(table).map((pair, k) => (k === at ? { ...pair, [which]: job } : pair)) });
  }

  /** Errors say a place in a list; once the list is another they would stand at the wrong one. */
  #moved() { this.failure.value = null; }

  giveUp() { this.changed.value = {}; this.failure.value = null; this.#hold(); }

  #hold() {
    const held = this.isDirty ? JSON.stringify(this.changed.value) : null;
    try { if (held === null) room()?.removeItem(this.#key); else room()?.setItem(this.#key, held); } catch { /* the page holds it still */ }
  }

  /** The tables that are sent: what is kept, with what was changed laid over it. @param {any} table */
  tables(table) {
    const adding = this.changed.value.adding ?? "";
    const jobs = [...this.lines(table), ...(adding === "" ? [] : [adding])];
    const kept = new Map(table.lines.map((line) => [line.job, line]));
    const made = { ...table, lines: jobs.map((job) => kept.get(job) ?? { job }), pairs: this.pairs(table).filter((pair) => pair.one !== "" || pair.other !== "") };
    for (const name of Object.keys(TEXTS)) {
      const text = this.shown(table, /** @type {keyof typeof TEXTS} */ (name)).trim();
      if (text === "" && name !== "name") delete made[name]; else made[name] = text;
    }
    return made;
  }

  /** What is wrong at a field. @param {string} field */
  wrongAt(field) { return this.failure.value?.errors?.find((one) => one.field === field); }

  /** What is wrong with a line. @param {string} job */
  wrongLine(job) {
    const at = this.#sent.lines.indexOf(job);
    return at < 0 ? undefined : this.wrongAt(`lines[${at + 1}].job`) ?? this.wrongAt(`lines[${at + 1}]`);
  }

  /** What is wrong with one of a pair. @param {any} table @param {number} at @param {"one"|"other"} which */
  wrongPair(table, at, which) {
    const place = this.#sent.pairs.indexOf(this.pairs(table)[at]);
    return place < 0 ? undefined : this.wrongAt(`pairs[${place + 1}].${which}`);
  }

  /** What stands at no field that is shown. @param {any} table */
  elsewhere(table) {
    const here = [...Object.keys(TEXTS), "lines"].map((field) => this.wrongAt(field));
    here.push(...this.lines(table).map((job) => this.wrongLine(job)));
    here.push(...this.pairs(table).flatMap((_, at) => [this.wrongPair(table, at, "one"), this.wrongPair(table, at, "other")]));
    return (this.failure.value?.errors ?? []).filter((one) => !here.includes(one));
  }

  /**
   * Keep the set as changed, over the newest revision.
   * @param {any} table @param {number} revision
   * @returns {Promise<boolean>} whether it is kept
   */
  async save(table, revision) {
    const halves = this.pairs(table).filter((pair) => (pair.one === "") !== (pair.other === ""));
    const set = this.tables(table);
    this.#sent = { lines: set.lines.map((line) => line.job), pairs: set.pairs };
    if (halves.length > 0) { this.failure.value = new ApiError("A pair is of two lines.", { errors: halves.map((pair) => halfOf(set.pairs, pair)) }); return false; }
    this.busy.value = true;
    setWaiting(this.#key, 1);
    try {
      await put(`/api/sets/${encodeURIComponent(this.#id)}`, { revision, set });
      this.giveUp();
      return true;
    } catch (error) {
      if (!(error instanceof ApiError)) throw error;
      this.failure.value = error;
      return false;
    } finally {
      this.busy.value = false;
      setWaiting(this.#key, 0);
    }
  }
}

/** @param {Pair[]} pairs @param {Pair} pair */
const halfOf = (pairs, pair) => ({
  field: `pairs[${pairs.indexOf(pair) + 1}].${pair.one === "" ? "one" : "other"}`, given: "", rule: "must be a line of this set", remedy: "choose it, or undo the pair",
});

/** Where a tab keeps what is typed in it; none in a browser that keeps nothing. */
function room() {
  try { return sessionStorage; } catch { return null; }
}
