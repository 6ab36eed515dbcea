/** What is being written down at the counter: it outlives a refusal, a silence, a reload and a closed window. */
import { signal } from "@preact/signals";
import { ApiError, post } from "../lib/api.js";
import { newId, nowText } from "../lib/ids.js";
import { announce, setWaiting } from "./shell.js";

/** @typedef {{state: "sound"|"found", where?: string, decision?: string, photos?: string[]}} Look */
/** @typedef {{look: Record<string, Look>, figures: Record<string, string>, bow: Record<string, string>, braced: boolean|null, photos: string[], texts: Record<string, string>}} Typed */

/** @type {Typed} */
const FRESH = { look: {}, figures: {}, bow: {}, braced: null, photos: [], texts: {} };

/** The browser's own storage, where it allows that; what stands there outlives the window. */
export function lastingStorage() {
  try { return localStorage; } catch { return null; }
}

export class OrderDraft {
  failure = signal(/** @type {any} */ (null));
  busy = signal("");
  #path; #key; #storage;
  /** @type {import("@preact/signals").Signal<Typed>} */ typed;
  /** Sent and not answered, by the part of the page: sent again it is the very same. @type {Record<string, {said: string, event: any}>} */ #unanswered;

  #by;

  /** @param {string} id of the order, or of the fit @param {Storage|null} [storage] @param {"order"|"fit"} [kind] */
  constructor(id, storage = lastingStorage(), kind = "order") {
    this.#path = `/api/${kind}s/${id}/events`;
    this.#key = `strandwright.${kind}.${id}`;
    this.#by = kind === "order" ? "counter" : "on the bow";
    this.#storage = storage;
    const kept = this.#read();
    this.typed = signal({ ...structuredClone(FRESH), ...kept.typed });
    this.#unanswered = kept.unanswered ?? {};
  }

  /** What no answer was given to yet. */
  get waits() { return Object.keys(this.#unanswered).length > 0; }

  /** @param {Partial<Typed>} told */
  put(told) { this.typed.value = { ...this.typed.value, ...told }; this.#hold(); }

  /** @param {"figures"|"bow"|"texts"} part @param {string} name @param {string} text */
  type(part, name, text) { this.put({ [part]: { ...this.typed.value[part], [name]: text } }); }

  /** Tick something, say more of it, or take the tick away. @param {string} name @param {Look|null} look */
  look(name, look) {
    const { [name]: _, ...rest } = this.typed.value.look;
    this.put({ look: look === null ? rest : { ...rest, [name]: look } });
  }

  /** @param {...string} fields an error's place, without the type of the event */
  wrongAt(...fields) {
    return this.failure.value?.errors?.find((error) => fields.some((field) => error.field === field || error.field.endsWith(`.${field}`)));
  }

  /**
   * Write one event down; after a lost answer the same again is the same event.
   * @param {string} part of the page, such as `look` @param {string} type @param {any} body
   * @param {string} units @param {(typed: Typed) => Partial<Typed>} [written] what is empty once it is written
   * @returns {Promise<any>} the order's page, null where it was not written
   */
  async write(part, type, body, units, written = () => ({})) {
    const said = JSON.stringify([type, body]);
    if (this.#unanswered[part]?.said !== said) {
      this.#unanswered = { ...this.#unanswered, [part]: { said, event: { id: newId(), type, at: nowText(), by: this.#by, body } } };
    }
    this.#hold();
    return this.#send(part, units, written);
  }

  async #send(part, units, written) {
    const { event } = this.#unanswered[part];
    this.busy.value = part;
    setWaiting(this.#path, 1);
    try {
      const page = await post(this.#path, { events: [event], units });
      this.failure.value = null;
      this.#answered(part);
      this.put(written(this.typed.value));
      return page;
    } catch (error) {
      if (!(error instanceof ApiError)) throw error;
      this.failure.value = Object.assign(error, { part });
      // What was refused is not kept there: mended it is another event.
      if (!error.mayPass) this.#answered(part);
      announce(`Not written. ${error.message}`);
      return null;
    } finally {
      this.busy.value = "";
      setWaiting(this.#path, this.waits ? 1 : 0);
    }
  }

  #answered(part) {
    const { [part]: _, ...rest } = this.#unanswered;
    this.#unanswered = rest;
    this.#hold();
  }

  #read() {
    try { return JSON.parse(this.#storage?.getItem(this.#key) ?? "{}") ?? {}; } catch { return {}; }
  }

  #hold() {
    const isEmpty = !this.waits && JSON.stringify(this.typed.value) === JSON.stringify(FRESH);
    // A storage that is off or full costs what is typed at a reload, nothing now.
    try {
      if (isEmpty) this.#storage?.removeItem(this.#key);
      else this.#storage?.setItem(this.#key, JSON.stringify({ typed: this.typed.value, unanswered: this.#unanswered }));
    } catch { this.#storage = null; }
  }
}

/** Findings and sound things of a look, as an event holds them. @param {Record<string, Look>} look */
export function lookBody(look) {
  const found = Object.entries(look).filter(([, one]) => one.state === "found");
  return {
    sound: Object.entries(look).filter(([, one]) => one.state === "sound").map(([name]) => name),
    findings: found.map(([finding, one]) => ({
      finding, where: (one.where ?? "").trim(), decision: one.decision ?? "ask", photos: one.photos ?? [],
    })),
  };
}

/** What was typed; an empty field is left out. @param {Record<string, string>} typed */
export const told = (typed) => Object.fromEntries(Object.entries(typed).map(([name, text]) => [name, text.trim()]).filter(([, text]) => text !== ""));

/** A number as typed, or the text for the program to refuse in words. @param {string} text */
export const asNumber = (text) => (text.trim() !== "" && Number.isFinite(Number(text)) ? Number(text) : text);

const UNITS = "strandwright.units";

/** Units of bare figures, as this browser used them last. */
export const units = signal(readUnits());

function readUnits() { try { return localStorage.getItem(UNITS) === "mm" ? "mm" : "in"; } catch { return "in"; } }

/** @param {string} chosen */
export function chooseUnits(chosen) {
  units.value = chosen;
  try { localStorage.setItem(UNITS, chosen); } catch { /* it lasts until the page is closed */ }
}
