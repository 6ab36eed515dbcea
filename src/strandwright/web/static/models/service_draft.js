/** What is about to be written of a line on its bow; it outlives a refusal, a silence and a reload. */
import { signal } from "@preact/signals";
import { ApiError, post } from "../lib/api.js";
import { newId } from "../lib/ids.js";
import { setWaiting } from "./shell.js";

/**
 * @typedef {{name: string, label: string, such?: string, hint?: string, options?: string[], many?: string[], number?: boolean}} Asked
 * @typedef {{type: string, label: string, verb: string, said: string, asks: Asked[], grave?: boolean}} Kind
 */

const WEAR = ["fuzzy strand", "loose serving", "separated serving", "cut strand", "peep turned"];

/** @type {Kind[]} */
export const KINDS = [
  { type: "on-bow", label: "It went onto its bow", verb: "Write the fitting down", said: "Shots and days count from here.", asks: [] },
  { type: "length-off", label: "Its length, read off the bow", verb: "Write the length down",
    said: "Over the measuring pins at the measuring load, as at the proof, unless you say otherwise.", asks: [
      { name: "length", label: "Length", such: "57 9/32 in" },
      { name: "load", label: "Load, if another", such: "100 lbf" },
      { name: "zero_pin", label: "Pins, if others", such: "1/4 in" },
    ] },
  { type: "figure-on", label: "Brace height or axle to axle", verb: "Write the figure down",
    said: "Tells how far the line has moved, the bow staying strung. The first such reading is the zero of the later ones.", asks: [
      { name: "figure", label: "Which", options: ["brace height", "axle to axle"] },
      { name: "read", label: "Read", such: "7 1/8 in" },
      { name: "per_length", label: "What it does by the line's length", such: "-2.5", number: true,
        hint: "Change of the figure over lengthening of the line, if you read it at a turn; else the model of the bow says it." },
    ] },
  { type: "turns-changed", label: "Turns put in or taken out", verb: "Write the turns down", said: "Halves or wholes; below zero where taken out.", asks: [
    { name: "turns", label: "Turns", such: "1/2", number: true },
  ] },
  { type: "set-as-wanted", label: "The bow measures as wanted", verb: "Hold it to this length", said: "From here it is held to the length it has now, not to the one asked for.", asks: [] },
  { type: "looked-over", label: "It was looked over", verb: "Write down what was seen", said: "Tick what you saw; nothing ticked is nothing found.", asks: [
    { name: "seen", label: "Seen", many: WEAR },
    { name: "where", label: "Where", such: "12 in from the zero end" },
  ] },
  { type: "waxed", label: "It was waxed", verb: "Write the wax down", said: "The bare string, not its servings.", asks: [] },
  { type: "off-and-on", label: "It was off its bow and on again", verb: "Write it down", said: "It may sit a little otherwise since.", asks: [] },
  { type: "dry-fired", label: "It was shot without an arrow, or a line jumped", verb: "Write it down", said: "Do not draw it before every part was looked over.", asks: [], grave: true },
  { type: "replace-by", label: "When this shop replaces it", verb: "Go by this", said: "Goes before what the sources say of age and shots.", asks: [
    { name: "months", label: "After months", such: "24", number: true },
    { name: "shots", label: "Or after shots", such: "5000", number: true },
  ] },
  { type: "retired", label: "It is off for good", verb: "Close its record", said: "Nothing more is written of it then.", asks: [
    { name: "why", label: "Why", such: "two strands cut at the peep" },
  ] },
];

export class ServiceDraft {
  type = signal("");
  typed = signal(/** @type {Record<string, any>} */ ({}));
  failure = signal(/** @type {any} */ (null));
  busy = signal(false);
  #build;
  /** Sent and not answered: sent again it is the very same. @type {{typed: string, entry: any}|null} */ #unanswered = null;

  /** @param {string} build */
  constructor(build) {
    this.#build = build;
    try {
      const kept = JSON.parse(room()?.getItem(this.#key) ?? "null");
      if (kept) { this.type.value = kept.type; this.typed.value = kept.typed; this.#unanswered = kept.unanswered; }
    } catch { /* what cannot be read was not of this program */ }
  }

  get #key() { return `strandwright.service.${this.#build}`; }

  /** @param {string} type */
  choose(type) { this.type.value = type; this.failure.value = null; this.#hold(); }

  /** @param {string} name @param {any} value */
  put(name, value) { this.typed.value = { ...this.typed.value, [name]: value }; this.#hold(); }

  /** Take up an act that the answer calls for. @param {string} type @param {Record<string, any>} typed */
  takeUp(type, typed) { this.typed.value = { ...this.typed.value, ...typed }; this.choose(type); }

  /** What is wrong at a field. @param {string} name */
  wrongAt(name) {
    const type = this.type.value;
    return this.failure.value?.errors?.find((error) => [name, `${type}.${name}`, `service.${name}`].includes(error.field)
      || (name === "zero_pin" && error.field === `${type}.far_pin`));
  }

  /** Errors at no field that is shown. @param {string[]} names */
  elsewhere(names) {
    const shown = names.map((name) => this.wrongAt(name));
    // One field stands for both pins, so what is wrong with the far one is said there already.
    const isSaid = (error) => shown.includes(error) || (names.includes("zero_pin") && error.field === `${this.type.value}.far_pin`);
    return (this.failure.value?.errors ?? []).filter((error) => !isSaid(error));
  }

  /** Send it; sent again after a lost answer it is the same entry. @param {string} path @returns {Promise<any>} null where refused */
  async send(path) {
    const kind = KINDS.find((one) => one.type === this.type.value);
    if (!kind) return null;
    const typed = JSON.stringify([kind.type, this.typed.value]);
    // An answer that was lost may stand for an entry that is kept: its moment must not move.
    if (this.#unanswered?.typed !== typed) {
      this.#unanswered = { typed, entry: { ...headOf(this.typed.value), id: newId(), type: kind.type, body: bodyOf(kind, this.typed.value) } };
    }
    return this.#sent(path, this.#unanswered.entry);
  }

  /** Take an entry back. @param {string} path @param {any} entry */
  async takeBack(path, entry) {
    return this.#sent(path, { id: newId(), type: "taken-back", at: entry.at, shots: entry.shots, body: { entry: entry.id } }, true);
  }

  async #sent(path, entry, keeps = false) {
    const sent = { type: this.type.value, typed: this.typed.value };
    this.busy.value = true;
    setWaiting(path, 1);
    try {
      const answer = await post(path, entry);
      this.failure.value = null;
      if (!keeps) this.#forget(sent);
      this.#hold();
      return answer;
    } catch (error) {
      if (!(error instanceof ApiError)) throw error;
      this.failure.value = error;
      // What was refused is not kept there: mended it is another entry.
      if (!error.mayPass && !keeps) this.#unanswered = null;
      this.#hold();
      return null;
    } finally {
      this.busy.value = false;
      setWaiting(path, 0);
    }
  }

  /** Empty what was just written; what was typed since, and for another kind of entry, stands. @param {{type: string, typed: Record<string, any>}} sent */
  #forget(sent) {
    const asked = ["at", "shots_so_far", ...(KINDS.find((one) => one.type === sent.type)?.asks ?? []).map((ask) => ask.name)];
    const isWritten = (name, value) => sent.typed[name] === value && asked.includes(name.startsWith("seen ") ? "seen" : name);
    if (this.type.value === sent.type && this.typed.value === sent.typed) this.type.value = "";
    this.typed.value = Object.fromEntries(Object.entries(this.typed.value).filter(([name, value]) => !isWritten(name, value)));
    this.#unanswered = null;
  }

  #hold() {
    try { room()?.setItem(this.#key, JSON.stringify({ type: this.type.value, typed: this.typed.value, unanswered: this.#unanswered })); } catch { /* full, or not allowed */ }
  }
}

function room() { try { return sessionStorage; } catch { return null; } }

/** Moment and shots as they were typed. */
function headOf(typed) {
  const at = typed.at ? new Date(typed.at) : new Date();
  const shots = String(typed.shots_so_far ?? "").trim();
  return {
    at: Number.isNaN(at.getTime()) ? String(typed.at) : at.toISOString(),
    ...(shots === "" ? {} : { shots: numberOf(shots) }),
  };
}

/** The body as it was typed; an empty field is left out. @param {Kind} kind @param {Record<string, any>} typed */
function bodyOf(kind, typed) {
  if (kind.type === "looked-over") {
    const seen = WEAR.filter((wear) => typed[`seen ${wear}`]);
    return { seen: seen.length > 0 ? seen : ["nothing"], ...(typed.where?.trim() ? { where: typed.where.trim() } : {}) };
  }
  const told = kind.asks.map((ask) => [ask, String(typed[ask.name] ?? (ask.options?.[0] ?? "")).trim()]).filter(([, text]) => text !== "");
  const body = Object.fromEntries(told.map(([ask, text]) => [ask.name, ask.number ? numberOf(text) : text]));
  return body.zero_pin ? { ...body, far_pin: body.zero_pin } : body;
}

/** A number as people write it: `1/2`, `1 1/2`, `-1`; what is none goes as it is and is refused in words. */
function numberOf(text) {
  const found = text.replace("\u2212", "-").match(/^(-?)(?:([0-9]*\.?[0-9]+)|(?:([0-9]+) )?([0-9]+)\/([0-9]+))$/);
  if (!found) return text;
  const size = found[2] !== undefined ? Number(found[2]) : Number(found[3] ?? 0) + Number(found[4]) / Number(found[5]);
  return found[1] === "-" ? -size : size;
}
