/** The price of an order while it is made: what is typed beside it, the answer to the newest of it, acts nobody answered. */
import { signal } from "@preact/signals";
import { ApiError, post } from "../lib/api.js";
import { nowText } from "../lib/ids.js";
import { Draft } from "./draft.js";
import { Latest } from "./latest.js";
import { lastingStorage } from "./order_draft.js";
import { announce, setWaiting } from "./shell.js";

/** @typedef {{name: string, count: string}} Part */
/** @typedef {{title: string, amount: string}} Extra */
/**
 * @typedef {{open: boolean, parts: Part[], extras: Extra[], off: string, fitting: string, due: string|null, taxes: string[]|null,
 *   short: boolean, unanswered: Record<string, {said: string, at: string}>}} Typed
 */

/** @type {Typed} */
const FRESH = { open: false, parts: [], extras: [], off: "", fitting: "", due: null, taxes: null, short: false, unanswered: {} };
const PATIENCE = 300;

/** The day it is here, as 2026-11-28. */
export function today() {
  const now = new Date();
  return [now.getFullYear(), now.getMonth() + 1, now.getDate()].map((part) => String(part).padStart(2, "0")).join("-");
}

/** Rows in which something stands. @template {Record<string, string>} Row @param {Row[]} rows @returns {Row[]} */
export const filled = (rows) => rows.filter((row) => Object.values(row).some((text) => text.trim() !== ""));

/** What is typed as it is sent; what is empty is left out. @param {Typed} typed @param {string} wished a day to be ready by, where none is typed */
export function entriesOf(typed, wished) {
  const due = typed.due ?? wished;
  return {
    ...(filled(typed.parts).length > 0 ? { parts: filled(typed.parts).map(({ name, count }) => ({ name: name.trim(), count: asCount(count) })) } : {}),
    ...(filled(typed.extras).length > 0 ? { extras: filled(typed.extras).map(({ title, amount }) => ({ title: title.trim(), amount: amount.trim() })) } : {}),
    ...(typed.off.trim() ? { off: typed.off.trim() } : {}), ...(typed.fitting.trim() ? { fitting: typed.fitting.trim() } : {}),
    ...(due ? { due } : {}), ...(typed.taxes === null ? {} : { taxes: typed.taxes }),
  };
}

/** @param {string} text */
const asCount = (text) => (text.trim() === "" ? 1 : /^[0-9]+$/.test(text.trim()) ? Number(text) : text);

/** What was sent, as it is typed; the other way about. @param {any} entries @returns {Partial<Typed>} */
export function typedOf(entries) {
  return {
    parts: (entries.parts ?? []).map(({ name, count }) => ({ name, count: String(count ?? 1) })), extras: (entries.extras ?? []).map((one) => ({ ...one })),
    off: entries.off ?? "", fitting: entries.fitting ?? "", due: entries.due ?? "", taxes: entries.taxes ?? null,
  };
}

export class QuoteDraft {
  /** The newest price that could be made. @type {import("@preact/signals").Signal<any>} */ bill = signal(null);
  /** Why what is typed has no price. */ failure = signal(/** @type {any} */ (null));
  /** Why an act was not done. */ refused = signal(/** @type {any} */ (null));
  /** Whether the price shown is that of what is typed. */ settled = signal(false);
  busy = signal("");
  #path; #kept; #latest; #number = 0; #timer = 0;

  /** @param {string} order @param {Storage|null} [storage] */
  constructor(order, storage = lastingStorage()) {
    this.#path = `/api/quotes/of/${order}`;
    this.#kept = new Draft(`quote.${order}`, FRESH, storage);
    this.#latest = new Latest({
      send: (entries) => post(`${this.#path}/draft`, { entries, day: today() }),
      show: (bill, entries) => { this.bill.value = bill; this.failure.value = null; this.settled.value = this.#sent === JSON.stringify(entries); },
      fail: (error) => { this.failure.value = error; },
      nextNumber: () => ++this.#number,
    });
  }

  #sent = "";

  /** @returns {import("@preact/signals").Signal<Typed>} */
  get typed() { return this.#kept.value; }

  /** @param {Partial<Typed>} told */
  put(told) { this.#kept.set(told); }

  /** Ask for the price of what is typed; of a quick row of changes the last one. @param {any} entries @param {boolean} [now] */
  ask(entries, now = false) {
    this.settled.value = false;
    this.#sent = JSON.stringify(entries);
    clearTimeout(this.#timer);
    this.#timer = setTimeout(() => this.#latest.offer(entries), now ? 0 : PATIENCE);
  }

  /** Stop asking. */
  rest() { clearTimeout(this.#timer); }

  /** @param {...string} fields */
  wrongAt(...fields) { return this.failure.value?.errors?.find((error) => fields.includes(error.field)); }

  /**
   * Do something that counts once: after a lost answer the same again is the same act.
   * @param {string} what `tell`, `accept`, `reserve` or `take-back` @param {any} body @returns {Promise<any>} null where it was not done
   */
  async act(what, body) {
    const said = JSON.stringify(body);
    const before = this.typed.value.unanswered;
    const at = before[what]?.said === said ? before[what].at : nowText();
    this.put({ unanswered: { ...before, [what]: { said, at } } });
    this.busy.value = what;
    setWaiting(this.#path, 1);
    try {
      const page = await post(`${this.#path}/${what}`, { ...body, at, by: "counter" });
      this.refused.value = null;
      this.#answered(what);
      return page;
    } catch (error) {
      if (!(error instanceof ApiError)) throw error;
      this.refused.value = error;
      if (!error.mayPass) this.#answered(what);
      announce(`Not done. ${error.message}`);
      return null;
    } finally {
      this.busy.value = "";
      setWaiting(this.#path, Object.keys(this.typed.value.unanswered).length > 0 ? 1 : 0);
    }
  }

  #answered(what) {
    const { [what]: _, ...rest } = this.typed.value.unanswered;
    this.put({ unanswered: rest });
  }
}
