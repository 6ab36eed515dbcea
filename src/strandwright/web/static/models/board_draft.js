/** Points read on a draw board, as they are typed: each a draw, a weight and perhaps its ±. */
import { signal } from "@preact/signals";
import { announce } from "./shell.js";

/** @typedef {{rule: string, remedy: string, about?: string}} Wrong */
/** @typedef {"draw"|"weight"|"range"} Part */

/** @type {Part[]} */
export const PARTS = ["draw", "weight", "range"];

/**
 * Cut a kept weight at its ±.
 * @param {string} force such as `41 lbf +- 1`
 */
export function cut(force) {
  const [weight, range = ""] = force.split(/\s*(?:\+-|\+\/-|±)\s*/, 2);
  return { weight, range };
}

/**
 * Join a weight and its ±.
 * @param {string} weight @param {string} range
 */
export const joined = (weight, range) => (range === "" ? weight : `${weight} +- ${range}`);

export class BoardDraft {
  /** What is typed and not kept, by place and part: `2.weight`; `new.draw` of a further point. */
  typed = signal(/** @type {Record<string, string>} */ ({}));
  wrong = signal(/** @type {Record<string, Wrong>} */ ({}));

  /** @param {import("./bow_model.js").BowModel} model */
  constructor(model) { this.model = model; }

  get points() { return /** @type {{draw: string, force: string}[]} */ (this.model.job.value.bow.draw_board ?? []); }

  /** @param {string} row a place from 1, or `new` @param {Part} part */
  shown(row, part) { return this.typed.value[`${row}.${part}`] ?? this.#kept(row)[part]; }

  /** @param {string} row @param {Part} part @param {string} text */
  type(row, part, text) {
    this.typed.value = { ...this.typed.value, [`${row}.${part}`]: text };
    const { [`${row}.${part}`]: _, ...rest } = this.wrong.value;
    this.wrong.value = rest;
  }

  /**
   * What is wrong with a part: as it was refused here, or as the bow cannot be answered from it.
   * @param {string} row @param {Part} part
   * @returns {Wrong|undefined}
   */
  wrongAt(row, part) {
    const own = this.wrong.value[`${row}.${part}`];
    if (own !== undefined || `${row}.${part}` in this.typed.value) return own;
    const field = `bow.draw_board[${row}].${part === "draw" ? "draw" : "force"}`;
    return part === "range" ? undefined : this.model.refusal.value?.errors.find((one) => one.field === field);
  }

  /** Give up what is typed at a point. @param {string} row */
  giveUp(row) {
    this.typed.value = without(this.typed.value, row);
    this.wrong.value = without(this.wrong.value, row);
  }

  /**
   * Keep a point as it is typed, if anything was.
   * @param {string} row
   * @returns {Promise<boolean>} whether it is kept
   */
  async keep(row) {
    if (!PARTS.some((part) => `${row}.${part}` in this.typed.value)) return true;
    const [draw, weight, range] = PARTS.map((part) => this.shown(row, part).trim());
    const left = { draw, weight };
    for (const part of /** @type {("draw"|"weight")[]} */ (["draw", "weight"])) {
      if (left[part] !== "") continue;
      const remedy = row === "new" ? `type it such as ${part === "draw" ? "20 in" : "45 lbf"}` : "type it, or take the point out";
      this.#tell({ [`${row}.${part}`]: { rule: part === "draw" ? "a point needs its draw" : "a point needs its weight", remedy } });
      return false;
    }
    const place = row === "new" ? this.points.length + 1 : Number(row);
    const field = `bow.draw_board[${place}]`;
    const sent = this.typed.value;
    const kept = await this.model.change([{ field, value: { draw, force: joined(weight, range) } }], (error) => this.#blame(error, row, field, range));
    // What was typed while it was on its way is newer.
    if (kept && this.typed.value === sent) this.giveUp(row);
    if (kept) announce(row === "new" ? "point added" : "point kept");
    return kept;
  }

  /** @param {number} place from 1 */
  async takeOut(place) {
    // Points behind it move up by one, and what is typed at them with them.
    const kept = await this.model.change([{ field: `bow.draw_board[${place}]`, value: null }]);
    if (!kept) return;
    this.typed.value = movedUp(this.typed.value, place);
    this.wrong.value = movedUp(this.wrong.value, place);
    announce("point taken out");
  }

  #kept(row) {
    const point = row === "new" ? undefined : this.points[Number(row) - 1];
    return point === undefined ? { draw: "", weight: "", range: "" } : { draw: point.draw, ...cut(point.force) };
  }

  #blame(error, row, field, range) {
    const wrong = /** @type {Record<string, Wrong>} */ ({});
    for (const one of error.errors) {
      const part = one.field === `${field}.draw` ? "draw" : range !== "" && /\+-/.test(one.rule) ? "range" : "weight";
      wrong[`${row}.${part}`] = { rule: one.rule, remedy: one.remedy };
    }
    this.#tell(wrong);
    return error.errors.length > 0;
  }

  /** @param {Record<string, Wrong>} wrong */
  #tell(wrong) {
    this.wrong.value = { ...this.wrong.value, ...wrong };
    const [first] = Object.values(wrong);
    if (first) announce(`${first.rule}; ${first.remedy}`);
  }
}

/** @template T @param {Record<string, T>} held @param {string} row @returns {Record<string, T>} */
const without = (held, row) => Object.fromEntries(Object.entries(held).filter(([name]) => !name.startsWith(`${row}.`)));

/** @template T @param {Record<string, T>} held @param {number} place @returns {Record<string, T>} */
function movedUp(held, place) {
  return Object.fromEntries(Object.entries(held).flatMap(([name, value]) => {
    const [row, part] = name.split(".");
    if (row === "new" || Number(row) < place) return [[name, value]];
    return Number(row) === place ? [] : [[`${Number(row) - 1}.${part}`, value]];
  }));
}
