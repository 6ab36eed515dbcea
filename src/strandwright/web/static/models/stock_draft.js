/** What is about to be written of a spool or of small parts; it outlives a refusal, a silence and a reload. */
import { signal } from "@preact/signals";
import { ApiError, post } from "../lib/api.js";
import { newId, nowText } from "../lib/ids.js";
import { setWaiting } from "./shell.js";

/**
 * @typedef {{name: string, label: string, such?: string, hint?: string, whole?: boolean, must?: boolean}} Asked
 * @typedef {{type: string, label: string, verb: string, said: string, asks: Asked[], of: ("spool"|"part")[]}} Kind
 */

const AMOUNT = {
  spool: { name: "length", label: "Length", such: "116 ft" },
  part: { name: "count", label: "How many", such: "2", whole: true },
};

/** What can happen to a spool, or to small parts, in the order in which it mostly does. @param {"spool"|"part"} of @returns {Kind[]} */
export function kindsOf(of) {
  const amount = AMOUNT[of];
  /** @type {Kind[]} */
  const all = [
    { type: "stock-weighed", of: ["spool"], label: "It was weighed", verb: "Write the weight down",
      said: "The spool with what is on it. Each weighing makes what is left surer, and teaches what an empty one weighs.", asks: [
        { name: "gross", label: "The scale shows", such: "143.2 g" },
        { name: "step", label: "Smallest step of the scale", such: "0.1 g", hint: "left empty, the last place you typed" },
      ] },
    { type: "stock-counted", of: ["part"], label: "They were counted", verb: "Write the count down", said: "So many lie there now.", asks: [
      { name: "count", label: "How many lie there", such: "18", whole: true },
    ] },
    { type: "stock-used", of: ["spool", "part"], label: "Some of it was used", verb: "Write the use down",
      said: "What a bench records by itself need not be written here again.", asks: [
        of === "spool" ? { ...amount, hint: "with its ± where you know it: 116 ft +- 1" } : amount,
        { name: "job", label: "For which job", such: "RIDGE-1", hint: "left empty, for none" },
      ] },
    { type: "stock-moved", of: ["spool", "part"], label: "It lies elsewhere now", verb: "Write the place down", said: "Where the next one who looks will find it.", asks: [
      { name: "place", label: "Where", such: "rack 2, left" },
    ] },
    { type: "stock-written-off", of: ["spool", "part"], label: "Some or all of it is of no use", verb: "Write it off", said: "Left without an amount, all of it is gone, and what was promised of it too.", asks: [
      { name: "why", label: "Why", such: "frayed by the rack" },
      { ...amount, hint: "left empty, all of it" },
    ] },
    { type: "noted", of: ["spool", "part"], label: "Something worth remembering", verb: "Write it down", said: "It stands in the log and changes nothing.", asks: [
      { name: "text", label: "What", such: "a knot 3 ft from the end" },
    ] },
  ];
  return all.filter((kind) => kind.of.includes(of));
}

/** What a thing that comes in is asked. @param {string} kind strand, thread or part @returns {Asked[]} */
export function asksOf(kind) {
  const price = { name: "price", label: "Paid for all of it", such: "36.00", hint: "digits and a point, in the shop's money" };
  const rest = [price, { name: "supplier", label: "From whom", such: "" }, { name: "place", label: "Where it lies", such: "rack 2" }];
  if (kind === "part") return [{ name: "count", label: "How many", such: "20", whole: true }, ...rest];
  return [
    { name: "called", label: "Its colour is called", such: "moss", hint: "as jobs call it" },
    { name: "lot", label: "Lot", such: "L7", hint: "as the label says; one colour of a set comes from one lot" },
    { name: "length", label: "Length by the label", such: kind === "strand" ? "1800 ft" : "120 yd" },
    { name: "mass", label: "Mass by the label", such: "1/4 lb", hint: "one of the two will do; both are surer" },
    { name: "tare", label: "An empty spool weighs", such: "38.5 g", hint: "if you weighed one" },
    ...rest,
  ];
}

export class StockDraft {
  type = signal("");
  typed = signal(/** @type {Record<string, any>} */ ({}));
  failure = signal(/** @type {any} */ (null));
  busy = signal(false);
  #log; #key;
  /** Sent and not answered: sent again it is the very same. @type {{typed: string, event: any, log: string}|null} */ #unanswered = null;

  /** @param {string} log the spool's, or empty for one that comes in */
  constructor(log) {
    this.#log = log;
    this.#key = `strandwright.stock.${log || "new"}`;
    try {
      const kept = JSON.parse(room()?.getItem(this.#key) ?? "null");
      if (kept) { this.type.value = kept.type; this.typed.value = kept.typed; this.#unanswered = kept.unanswered; }
    } catch { /* what cannot be read was not of this program */ }
  }

  /** @param {string} type */
  choose(type) { this.type.value = type; this.failure.value = null; this.#hold(); }

  /** @param {string} name @param {any} value */
  put(name, value) { this.typed.value = { ...this.typed.value, [name]: value }; this.#hold(); }

  /** What is wrong at a field. @param {string} name */
  wrongAt(name) {
    return this.failure.value?.errors?.find((error) => error.field.split(".").slice(1).join(".") === name
      || (name === "name" && error.field.endsWith("ware.name")) || (name === "colour" && error.field.endsWith("ware.colour"))
      || (name === "size" && error.field.endsWith("ware.size")));
  }

  /** Errors at no field that is shown. @param {string[]} names */
  elsewhere(names) {
    const shown = names.map((name) => this.wrongAt(name));
    return (this.failure.value?.errors ?? []).filter((error) => !shown.includes(error));
  }

  /**
   * Write what happened; sent again after a lost answer it is the same event.
   * @param {string} type @param {Record<string, any>} body @returns {Promise<any>} null where refused
   */
  async send(type, body) {
    const typed = JSON.stringify([type, body]);
    if (this.#unanswered?.typed !== typed) {
      this.#unanswered = { typed, log: this.#log || newId(), event: { id: newId(), type, at: nowText(), by: "", body } };
    }
    const { log, event } = this.#unanswered;
    const answer = await this.#sent(log, event);
    if (answer) { this.type.value = ""; this.typed.value = {}; this.#unanswered = null; this.#hold(); }
    return answer;
  }

  /** Do something that was not typed: take an entry back, free a promise. @param {string} type @param {Record<string, any>} body */
  async act(type, body) {
    return this.#sent(this.#log, { id: newId(), type, at: nowText(), by: "", body });
  }

  async #sent(log, event) {
    this.busy.value = true;
    setWaiting(this.#key, 1);
    try {
      const answer = await post(`/api/stock/${log}/events`, { event });
      this.failure.value = null;
      return answer;
    } catch (error) {
      if (!(error instanceof ApiError)) throw error;
      this.failure.value = error;
      // What was refused is not kept there: mended it is another event.
      if (!error.mayPass) this.#unanswered = null;
      return null;
    } finally {
      this.busy.value = false;
      setWaiting(this.#key, 0);
      this.#hold();
    }
  }

  #hold() {
    try { room()?.setItem(this.#key, JSON.stringify({ type: this.type.value, typed: this.typed.value, unanswered: this.#unanswered })); } catch { /* full, or not allowed */ }
  }
}

function room() { try { return sessionStorage; } catch { return null; } }

/** A body as it was typed; an empty field is left out. @param {Asked[]} asks @param {Record<string, any>} typed */
export function bodyOf(asks, typed) {
  const told = asks.map((ask) => [ask, String(typed[ask.name] ?? "").trim()]).filter(([, text]) => text !== "");
  return Object.fromEntries(told.map(([ask, text]) => [ask.name, ask.whole && /^[0-9]+$/.test(text) ? Number(text) : text]));
}
