/** A trial being noted: turns put into each line, and what the bow reads since. */
import { signal } from "@preact/signals";
import { announce } from "./shell.js";
import { readTurns } from "./steps.js";

export const FIGURES = [
  ["brace_height", "brace height"], ["axle_to_axle", "axle to axle"],
  ["draw_length", "draw length"], ["draw_weight", "draw weight"],
  ["centring", "centre mark, right of the rail’s middle"],
];

export class TrialDraft {
  typed = signal(/** @type {Record<string, string>} */ ({}));
  wrong = signal(/** @type {Record<string, {rule: string, remedy: string}>} */ ({}));

  /** @param {import("./bow_model.js").BowModel} model */
  constructor(model) { this.model = model; }

  /** @param {string} field `turns.string`, `after.draw_weight` @param {string} text */
  type(field, text) {
    this.typed.value = { ...this.typed.value, [field]: text };
    const { [field]: _, ...rest } = this.wrong.value;
    this.wrong.value = rest;
  }

  /** @param {string} field */
  shown(field) { return this.typed.value[field] ?? ""; }

  /**
   * Keep the trial: what was measured before it is what stood as measured now.
   * @param {string[]} lines
   * @returns {Promise<boolean>}
   */
  async log(lines) {
    await this.model.idle();
    const bow = this.model.job.value.bow;
    const before = bow.now ?? {};
    const after = Object.fromEntries(FIGURES.map(([name]) => [name, this.shown(`after.${name}`).trim()]).filter(([, text]) => text !== ""));
    const turns = this.#turns(lines);
    if (turns === null) return false;
    if (Object.keys(after).every((name) => before[name] === undefined)) {
      const first = FIGURES.find(([name]) => before[name] !== undefined)?.[0] ?? FIGURES[0][0];
      const rule = before[first] === undefined ? "has no reading from before to compare with" : "must be read again, or another figure that was measured before";
      this.#tell({ [`after.${first}`]: { rule, remedy: before[first] === undefined ? "enter what it measured before, under now" : "enter what the bow reads since" } });
      return false;
    }
    const place = `bow.trials[${(bow.trials ?? []).length + 1}]`;
    const kept = await this.model.change([
      { field: place, value: { turns, before, after } },
      ...Object.entries(after).map(([name, value]) => ({ field: `bow.now.${name}`, value })),
    ], (error) => this.#blame(error, place));
    if (kept) { this.typed.value = {}; this.wrong.value = {}; announce("trial logged"); }
    return kept;
  }

  #turns(lines) {
    const found = [];
    for (const line of lines) {
      const text = this.shown(`turns.${line}`).trim();
      if (text === "") continue;
      const turns = readTurns(text);
      if (turns === null || Math.abs(turns) > 60) {
        this.#tell({ [`turns.${line}`]: { rule: "must be turns, 60 at most", remedy: "type them such as 1 1/2, or -1 if taken out" } });
        return null;
      }
      if (turns !== 0) found.push({ line, turns });
    }
    if (found.length > 0) return found;
    this.#tell({ [`turns.${lines[0]}`]: { rule: "must be put into one line at least", remedy: "type how many" } });
    return null;
  }

  #blame(error, place) {
    const wrong = {};
    for (const one of error.errors) {
      const own = one.field.replace(`${place}.`, "").replace("bow.now.", "after.");
      wrong[own.startsWith("after.") ? own : "after.brace_height"] = one;
    }
    this.#tell(wrong);
    return error.errors.length > 0;
  }

  #tell(wrong) {
    this.wrong.value = wrong;
    const [first] = Object.values(wrong);
    if (first) announce(`${first.rule}; ${first.remedy}`);
  }
}
